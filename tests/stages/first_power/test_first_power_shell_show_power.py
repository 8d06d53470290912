"""``show`` at every moment of the way: rungs that wait, a pump that runs, a sweep at hand, a fault and its cure."""

from collections.abc import Iterator

import pytest

from commission.__main__ import job
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.logged import Logged
from commission.record.machine.joints import Paper
from commission.record.machine.rungs import Rung
from commission.record.mishaps import Mishaps
from commission.shell.show_text import show_lines
from commission.stages.fan_headers.rows.headers_text import seats_lines, seats_of
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.first_power.entries import SupplyDescribed
from commission.stages.first_power.work.first_power import FirstPower
from tests.fakes import ListLog, new_book
from tests.holds import ready_build
from tests.power_builds import (
    JOINTS,
    cable_test,
    chain,
    level,
    plugged,
    powered_build,
    pump,
    rails,
    supplied_build,
    supply,
    watch_pump,
)
from tests.registered import REGISTRY, sample_logbook
from tests.stages.said_once import lines_of
from tests.wet_builds import answer, filled_build


def told(book: Logbook, build: str) -> list[str]:
    return list(show_lines(book, job().stages(), book.build(build)))


def test_rungs_that_wait_say_what_they_wait_for() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    supply(book, build, "CPU", "GPU")
    book.work(FirstPower).test_cable(build, cable_test("CPU", pin3=None))
    lines = told(book, build)
    assert "supply: Larkspur 850, windows of ATX2; made by hand: CPU, GPU" in lines
    assert "step 1 cables unplugged: FAIL" in lines
    assert "cable CPU: FAIL, 7 of 8 wires proven" in lines
    assert any(line.startswith("cable CPU fault: ") and "3" in line for line in lines)
    (pump_line,) = [line for line in lines if line.startswith("step 3 pump only: ")]
    assert pump_line.startswith("step 3 pump only: locked; The pressure hold has not passed")


def test_a_cable_that_is_no_longer_among_those_made_by_hand_is_not_told() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    book.work(FirstPower).test_cable(build, cable_test("CPU"))
    supply(book, build)
    assert not [line for line in told(book, build) if line.startswith("cable ")]


def test_a_voltage_is_told_as_it_was_typed() -> None:
    # ATX12V design guide 2.0, table 2: 11.40 V is the lowest of +12 V
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails(V12="11.390"), power_good_ms=600)
    lines = told(book, build)
    assert "rail 24-pin +12 V: 11.390 V, FAIL: 11.40 to 12.60 V" in lines
    assert "rails: fail, by the windows of ATX2" in lines
    assert any(line.startswith("PWR_OK: 600 ms, ") for line in lines)


def test_what_failed_is_told_after_it_was_measured_again_with_what_was_done() -> None:
    """11.2 V is below 11.40 V, the lower edge of +12 V: ATX12V design guide 2.0, 3.2.1, table 2 (5 %)."""
    book, _, _ = new_book()
    build = ready_build(book)
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails(V12="11.2"))
    book.work(FirstPower).read_rails(build, rails())
    before = [line for line in told(book, build) if line.startswith("failed before: 24-pin +12 V")]
    assert len(before) == 1
    assert "NOT REPAIRED" in before[0]
    book.work(FirstPower).findings.mend(build, "24-pin +12 V", "contact pushed home")
    assert any(line.endswith("done: contact pushed home") for line in told(book, build))


def test_while_the_pump_runs_the_joints_that_are_due_are_told() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    clock.run(600)
    book.work(FirstPower).look(build, "block", Paper.DRY)
    clock.run(600)
    lines = told(book, build)
    assert "leak watch: running for 20 min" in lines
    assert "joint block: 1 look; dry at 10 min" in lines
    assert "joint radiator in: 0 looks" in lines
    assert any(line.startswith("leak watch due: radiator in") for line in lines)


def test_a_fault_on_the_ladder_is_told_as_one_of_the_ladder() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build, wet="block")
    assert book.work(FirstPower).close(build).outcome == "fail"
    found = book.work(FirstPower).findings.raise_finding(build, Rung.PUMP, "a cut seal")
    assert "defect: first power 1, pump only: a cut seal; not repaired yet" in told(book, build)
    assert found.seq
    book.work(Mishaps).repaired(build, book.build(build).findings[0].raised.finding_id, "new seal")
    assert "defect: first power 1, pump only: a cut seal; repaired: new seal" in told(book, build)


def test_a_sweep_at_hand_and_a_chain_that_sits_nowhere_are_told() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    plugged(book, build)
    book.work(FanHeaders).seats.add_chain(build, chain("spare", 1))
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    book.work(FanHeaders).sweeps.begin_sweep(build, "front")
    book.work(FanHeaders).sweeps.sweep_level(build, level(100, 1500, 1502))
    lines = told(book, build)
    assert "sweep running: front on SYS 1, 2 readings so far" in lines
    assert any(line.startswith("header PUMP: pump, steady 800 of 1600, start 900 of 2000 mA; ") for line in lines)
    assert "on no header: spare; 1 device, pwm" in lines
    assert "fan headers: running, attempt 1" in lines


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Logged]]:
    opened = sample_logbook(tmp_path_factory.mktemp("demo"))
    yield opened.book.log.entries()
    opened.book.close()


def test_every_moment_of_the_demo_since_the_first_supply_can_be_told(demo: list[Logged]) -> None:
    first = next(entry.seq for entry in demo if isinstance(entry.payload, SupplyDescribed))
    log = ListLog(stored=demo[: first - 1])
    book = Logbook(log, new_book()[2], registry=REGISTRY, procedure_toml="", program="test")
    assert len(demo) - first > 50
    for entry in demo[first - 1 :]:
        log.stored.append(entry)
        builds = [row.build_id for row in book.builds()]
        # an entry of a build changes what is told of that one alone; first and last are all of them told
        touched = entry.build in builds and first < entry.seq < len(demo)
        for build_id in [entry.build] if touched else builds:
            state = book.build(build_id)
            seats = lines_of(seats_lines(seats_of(book, state)))
            lines = list(show_lines(book, job().stages(), state))
            assert all(": " in line and "None" not in line for line in [*lines, *seats])
            if state.plugged.headers:
                assert seats == [line for line in lines if line in seats]
