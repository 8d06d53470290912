"""The test of a cable, or the voltages, aborted as a whole: no reading is lost, and nothing that failed is undone."""

import pytest

from commission.__main__ import job
from commission.base.errors import InputError, NotAllowed
from commission.base.verdict import Outcome
from commission.bench.build_facts import show_facts
from commission.procedure.stage_ids import FIRST_POWER
from commission.record.logbook import Logbook
from commission.record.machine.rungs import Rung, Rungs
from commission.stages.first_power.card.first_power import FirstPowerFlow
from commission.stages.first_power.entries import PowerTestAborted
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import FirstPower
from tests.fakes import new_book
from tests.power_builds import cable_test, supply
from tests.stages.first_power.screen.power_bench import CABLE, closed, described, watching
from tests.ui.bench import asked, led
from tests.wet_builds import filled_build


def shown(book: Logbook, build: str) -> list[str]:
    """What show prints."""
    facts = show_facts(book, job().stages(), book.build(build))
    return [fact if isinstance(fact, str) else fact.line() for fact in facts]


def test_the_test_of_a_cable_is_aborted_with_a_reason_and_all_that_was_read_is_shown() -> None:
    book, log, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, [*CABLE, "1>1 0.3", "abort"])
    assert asked(flow).startswith("Why is the test of CPU aborted?")
    assert flow.back()
    assert "What does the meter show" in asked(flow)
    led(flow, ["abort", "the cable of another supply"])
    assert log.entries()[-1].payload == PowerTestAborted(attempt=1, cable="CPU", reason="the cable of another supply")
    assert book.build(build).of(FirstPowerState).cables == ()
    lines = shown(book, build)
    assert any(line.startswith("aborted cable CPU: ") and "the cable of another supply" in line for line in lines)
    assert "aborted cable CPU 1>1: 0.3 ohm" in lines
    assert book.build(build).of(Rungs).shown[Rung.CABLES] is None


def test_what_failed_stays_to_be_repaired_when_its_test_is_aborted() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    power = book.work(FirstPower)
    power.test_cable(build, cable_test(pin3=None))
    power.aborts.abort(build, "CPU", "the meter slipped")
    power.test_cable(build, cable_test())
    assert book.build(build).of(Rungs).shown[Rung.CABLES] is Outcome.INCONCLUSIVE
    power.findings.mend(build, "cable CPU", "new crimp")
    assert book.build(build).of(Rungs).shown[Rung.CABLES] is Outcome.PASS


def test_aborted_voltages_take_away_what_was_done_on_them_and_stay_in_sight() -> None:
    book, _, _, build = closed()
    assert book.build(build).judged_run(FIRST_POWER) is not None
    book.work(FirstPower).aborts.abort(build, "", "the meter stood on ohm")
    state = book.build(build)
    assert [state.of(Rungs).shown[rung] for rung in (Rung.SUPPLY, Rung.PUMP, Rung.MACHINE)] == [None, None, None]
    judged = state.judged_run(FIRST_POWER)
    assert judged is not None
    assert judged.stale_by is not None
    lines = shown(book, build)
    assert any(line.startswith("aborted rails: ") and line.endswith("the meter stood on ohm") for line in lines)
    assert sum(line.startswith("aborted ") and " V, " in line for line in lines) >= 3
    with pytest.raises(NotAllowed, match="cannot be withdrawn"):
        book.withdraw(state.last.seq if state.last else 0, "mistyped")


def test_where_nothing_was_measured_or_the_pump_runs_nothing_is_aborted() -> None:
    book, log, _, build = described("CPU")
    head = log.head()
    for cable in ("CPU", "GPU", ""):
        with pytest.raises(NotAllowed, match="nothing was measured"):
            book.work(FirstPower).aborts.abort(build, cable, "why not")
    assert log.head() == head
    book, _, _, build = described()
    with pytest.raises(InputError, match="no voltage was read yet"):
        FirstPowerFlow(book, build).answer("abort")
    book, _, _, build = watching()
    with pytest.raises(NotAllowed, match="the pump runs"):
        book.work(FirstPower).aborts.abort(build, "", "why not")
