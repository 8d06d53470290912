"""A ladder is put into words once: what its card says of rungs, cables, voltages and joints stands in ``show`` too."""

from commission.bench.card import Figure
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.stages.first_power.card.first_power import FirstPowerFlow
from commission.stages.first_power.rows.show_power import first_power_lines
from commission.stages.first_power.work.first_power import FirstPower
from tests.fakes import new_book
from tests.power_builds import JOINTS, cable_test, powered_build, rails, supplied_build, supply
from tests.stages.said_once import lines_of, unsaid
from tests.wet_builds import answer, filled_build

RUNGS = ("1 ", "2 ", "3 ", "4 ")


def said(book: Logbook, build: str) -> tuple[list[Figure], list[Figure], list[str]]:
    """What the card says of rungs and of all else, and the lines of ``show``."""
    figures = FirstPowerFlow(book, build).content().figures
    rungs = [figure for figure in figures if figure.label.startswith(RUNGS)]
    return (
        rungs,
        [figure for figure in figures if figure not in rungs],
        lines_of(first_power_lines(book, book.build(build))),
    )


def words(rungs: list[Figure]) -> set[str]:
    """How ``show`` begins its line of each rung: a card tells a lock once, and says which rung is now."""
    return {f"step {rung.label}: {rung.value}" for rung in rungs}


def test_voltages_are_said_the_same_on_the_card_and_in_show() -> None:
    """ATX12V design guide 2.0, table 2: 11.40 V is the lowest of +12 V."""
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails(V12="11.390"), power_good_ms=600)
    rungs, figures, lines = said(book, build)
    good = [figure for figure in figures if figure.label == "PWR_OK"]
    assert len(figures) > len(good) == 1
    assert list(unsaid(good, lines, "")) == []
    assert list(unsaid([figure for figure in figures if figure not in good], lines, "rail")) == []
    assert words(rungs) == {";".join(line.split(";")[:1]) for line in lines if line.startswith("step ")}


def test_a_cable_that_waits_beside_another_is_said_the_same() -> None:
    """Seven of eight wires are proven where pin 3 is not connected."""
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU", "CPU 2")
    book.work(FirstPower).test_cable(build, cable_test("CPU 2", pin3=None))
    _, figures, lines = said(book, build)
    others = [figure for figure in figures if figure.label.startswith("cable ")]
    assert [figure.line() for figure in others] == ["cable CPU 2: FAIL, 7 of 8 wires proven"]
    assert list(unsaid(others, lines, "")) == []


def test_joints_are_said_the_same_while_the_pump_runs() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    clock.run(600)
    book.work(FirstPower).look(build, "block", Paper.DRY)
    _, figures, lines = said(book, build)
    unmarked = [Figure(label=f.label, value=f.value, remark=f.remark) for f in figures]
    assert {"block", "radiator in"} <= {figure.label for figure in unmarked}
    assert list(unsaid(unmarked, lines, "joint")) == []


def test_voltages_of_an_attempt_that_was_ended_are_told_while_another_goes_on() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails(V12="12.31"))
    told = lines_of(first_power_lines(book, book.build(build)))
    now = next(line for line in told if line.startswith("rail 24-pin +12 V"))
    then = next(line for line in told if line.startswith("first power 1 24-pin +12 V"))
    assert (": 12.31 V, PASS" in now, f": {rails()[0].typed} V, PASS" in then) == (True, True)
    assert rails()[0].typed != "12.31"
