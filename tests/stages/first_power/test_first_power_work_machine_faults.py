"""A start of the whole machine that failed: it stays, asks what was done, and the pass tells it."""

import pytest

from commission.base.errors import NotAllowed
from commission.base.quantity import Quantity
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.noise import Noise
from commission.record.machine.rungs import Rung
from commission.record.mishaps import Mishaps
from commission.stages.fill.model.fill import Reservoir
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.at_hand import PowerAtHand
from commission.stages.first_power.card.machine import MachineRung
from commission.stages.first_power.entries import CableTested, MachineStarted
from commission.stages.first_power.model.machine_start import MachineStart, PumpSign
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import FirstPower
from commission.units.parse import parse
from commission.units.show import say
from tests.fakes import HandClock, new_book
from tests.power_builds import JOINTS, SOUND, cable_test, powered_build, supplied_build, supply, watch_pump
from tests.wet_builds import answer, filled_build

STANDS = MachineStart(sign=PumpSign.NONE, after_s=None, tach_connected=True, powered_off=True)


def watched() -> tuple[Logbook, HandClock, str]:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    return book, clock, build


def machine(book: Logbook, build: str) -> Outcome | None:
    return next(
        each.outcome for each in book.work(FirstPower).verdict(book.build(build)).rungs if each.rung is Rung.MACHINE
    )


def test_a_start_that_failed_asks_what_was_done_and_the_pass_tells_it() -> None:
    book, _, build = watched()
    book.work(FirstPower).start_machine(build, STANDS)
    book.work(FirstPower).start_machine(build, SOUND)
    assert machine(book, build) is Outcome.INCONCLUSIVE
    (fault,) = book.build(build).of(FirstPowerState).open_faults
    assert (fault.rung, fault.what) == (Rung.MACHINE, "whole machine")
    assert "did not turn within 5 s" in fault.said
    book.work(FirstPower).findings.mend(build, "whole machine", "plug moved to the pump's own header")
    verdict = book.work(FirstPower).close(build)
    assert verdict.outcome is Outcome.PASS
    told = [why.template for why in verdict.reasons if why.code == "mended"]
    assert told == [
        "whole machine failed before: The pump did not turn within 5 s. Done: plug moved to the pump's own header"
    ]


def test_a_start_that_fails_again_after_the_cure_asks_again() -> None:
    book, _, build = watched()
    book.work(FirstPower).start_machine(build, STANDS)
    book.work(FirstPower).findings.mend(build, "whole machine", "plug pushed home")
    book.work(FirstPower).start_machine(build, STANDS)
    book.work(FirstPower).start_machine(build, SOUND)
    assert [fault.done for fault in book.build(build).of(FirstPowerState).faults] == ["plug pushed home", ""]
    assert machine(book, build) is Outcome.INCONCLUSIVE


def test_the_switching_off_after_a_failed_start_is_no_second_fault() -> None:
    book, _, build = watched()
    book.work(FirstPower).start_machine(build, MachineStart(sign=PumpSign.NONE, after_s=None, tach_connected=True))
    book.work(FirstPower).start_machine(build, STANDS)
    assert len(book.build(build).of(FirstPowerState).faults) == 1


def test_the_cure_of_what_was_found_after_a_failed_start_says_what_was_done_about_it() -> None:
    book, _, build = watched()
    book.work(FirstPower).start_machine(build, STANDS)
    book.work(FirstPower).close(build)
    book.work(FirstPower).findings.raise_finding(build, Rung.MACHINE, "plug on the wrong header")
    book.work(Mishaps).repaired(build, book.build(build).findings[0].raised.finding_id, "moved it")
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    book.work(FirstPower).start_machine(build, SOUND)
    verdict = book.work(FirstPower).close(build)
    assert verdict.outcome is Outcome.PASS
    assert any("Done: moved it" in why.template for why in verdict.reasons)


@pytest.mark.parametrize("before", ["watched", "passed"])
def test_a_failed_start_that_was_withdrawn_is_told_and_no_start_before_it_counts(before: str) -> None:
    if before == "passed":
        book, _, clock = new_book()
        build = powered_build(book, clock)
        answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    else:
        book, _, build = watched()
    book.work(FirstPower).start_machine(build, STANDS)
    failed = [entry.seq for entry in book.entries(build) if isinstance(entry.payload, MachineStarted)][-1]
    book.withdraw(failed, "typed on the wrong build")
    assert machine(book, build) is None
    judged = book.build(build).judged_run("first_power")
    assert judged is None or judged.stale_by is not None
    book.work(FirstPower).start_machine(build, SOUND)
    assert machine(book, build) is Outcome.INCONCLUSIVE
    book.work(FirstPower).findings.mend(build, "whole machine", "it was another build's start")
    verdict = book.work(FirstPower).close(build)
    assert verdict.outcome is Outcome.PASS
    assert any("typed on the wrong build" in why.template for why in verdict.reasons)


@pytest.mark.parametrize("between", ["repaired", "nothing"])
def test_a_new_start_after_one_that_failed_begins_with_nothing_seen(between: str) -> None:
    book, _, build = watched()
    hand = PowerAtHand(book, build)
    rung = MachineRung(hand)

    def typed(line: str) -> None:
        rung.deed(line).do()
        hand.refresh()

    typed("speed 6 s 4700 rpm right 41 degC")
    assert machine(book, build) is Outcome.FAIL
    if between == "repaired":
        book.work(FirstPower).findings.mend(build, "whole machine", "plug seated")
        hand.refresh()
    typed("heard 2 s")
    assert machine(book, build) is Outcome.INCONCLUSIVE
    started = book.build(build).of(FirstPowerState).started
    assert started is not None
    assert (started.start.headers_right, started.start.processor_k) == (None, None)


def test_a_cable_that_failed_and_was_withdrawn_holds_its_rung_back_until_it_is_said_what_was_done() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    book.work(FirstPower).test_cable(build, cable_test(pin3=None))
    failed = next(one.seq for one in book.entries(build) if isinstance(one.payload, CableTested))
    book.withdraw(failed, "a slip {of the finger}")
    book.work(FirstPower).test_cable(build, cable_test())
    state = book.work(FirstPower).verdict(book.build(build))
    assert state.rungs[0].outcome is Outcome.INCONCLUSIVE
    assert "a slip (of the finger)" in say(state.reasons[0])
    assert book.work(FirstPower).locked(book.build(build), Rung.SUPPLY) is not None
    book.work(FirstPower).findings.mend(build, "cable CPU", "probe was on the wrong pin")
    assert book.work(FirstPower).verdict(book.build(build)).rungs[0].outcome is Outcome.PASS


def test_a_level_that_sank_in_the_leak_watch_is_answered_by_a_level_a_top_up_or_a_bleed_and_stays_told() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build, level=LevelLook.SINKING, noise=Noise.GURGLING)
    watch_pump(book, clock, build)
    work = book.work(FirstPower)
    rungs = {state.rung: state.outcome for state in work.verdict(book.build(build)).rungs}
    assert rungs[Rung.PUMP] is Outcome.INCONCLUSIVE
    open_ = [fault.what for fault in book.build(build).of(FirstPowerState).open_faults]
    assert open_ == ["level in the leak watch", "pump in the leak watch"]
    with pytest.raises(NotAllowed, match="the level sank: read it, top up or bleed to a pass"):
        work.findings.mend(build, open_[0], "looked at it")
    book.work(Fills).describe_reservoir(build, Reservoir(bore_m=0.06, height_m=0.15))
    book.work(Fills).read_level(build, parse("120 mm", Quantity.LENGTH), None)
    for what in open_:
        work.findings.mend(build, what, "stands at the mark")
    answer(book, build, work, When.BEFORE_MACHINE)
    work.start_machine(build, SOUND)
    verdict = work.close(build)
    assert verdict.outcome is Outcome.PASS
    told = [say(why) for why in verdict.reasons if why.code == "mended"]
    assert [one.split(" failed")[0] for one in told] == open_


def test_a_joint_that_weeps_again_after_its_cure_asks_again() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    for _ in range(2):
        watch_pump(book, clock, build, wet=JOINTS[0])
        book.work(FirstPower).findings.mend(build, f"joint {JOINTS[0]}", "new seal")
    assert [fault.done for fault in book.build(build).of(FirstPowerState).faults] == ["new seal", "new seal"]
