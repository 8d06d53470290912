"""Verdicts that must not outlive what they rest on: looks and levels that were withdrawn, faults found after a pass."""

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.entries import InstrumentAdded
from commission.record.logbook import Logbook
from commission.record.machine.held import Held
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.rungs import Rung
from commission.record.mishaps import Mishaps
from commission.record.record import SHOP
from commission.stages.fan_headers.entries import LevelSwept
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.fill.state import FillState
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.entries import JointLooked, RailsRead
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.state.attempt import hold_of, holds_of
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import new_book
from tests.holds import PLAN, gauge_reads, ready_build, start_hold, type_hold
from tests.power_builds import JOINTS, SOUND, falling, plugged, powered_build, rails, supplied_build, watch_pump
from tests.wet_builds import answer


def word(book: Logbook, build: str, stage: str) -> str:
    state = book.build(build)
    return next(str(rung.word) for rung in book.ladder(state) if rung.stage.id == stage)


def numbers(book: Logbook, build: str, kind: type) -> list[int]:
    return [entry.seq for entry in book.entries(build) if isinstance(entry.payload, kind)]


def outcome(book: Logbook, build: str, rung: Rung) -> Outcome | None:
    return next(each.outcome for each in book.work(FirstPower).verdict(book.build(build)).rungs if each.rung is rung)


def test_a_leak_watch_whose_looks_were_withdrawn_is_not_passed_by_another_start_of_the_machine() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    book.withdraw(numbers(book, build, JointLooked)[-1], "looked at another joint")
    assert outcome(book, build, Rung.PUMP) is None
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    with pytest.raises(Exception, match='"whole machine" is locked'):
        book.work(FirstPower).start_machine(build, SOUND)


def test_a_look_that_was_withdrawn_before_the_watch_was_judged_takes_nothing_away() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    wrong = book.work(FirstPower).look(build, "block", Paper.DRY)
    book.withdraw(wrong.seq, "typed too early")
    for _ in range(3):
        clock.run(620)
        for joint in JOINTS:
            book.work(FirstPower).look(build, joint, Paper.DRY)
    book.work(FirstPower).end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET)
    assert outcome(book, build, Rung.PUMP) is Outcome.PASS


def test_a_joint_that_was_wet_is_looked_at_in_every_later_watch() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build, wet="block")
    for _ in range(2):  # a watch that is broken off in between does not make it forgotten
        with pytest.raises(InputError, match="block was wet before"):
            book.work(FirstPower).start_pump(build, JOINTS[:2])
        book.work(FirstPower).start_pump(build, JOINTS)
        book.work(FirstPower).end_watch(build, level=LevelLook.NOT_LOOKED, noise=Noise.NOT_LISTENED)


def test_a_joint_that_was_wet_and_stayed_dry_later_asks_what_was_done_and_the_pass_tells_it() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build, wet="block")
    watch_pump(book, clock, build)
    assert outcome(book, build, Rung.PUMP) is Outcome.INCONCLUSIVE
    assert [fault.what for fault in book.build(build).of(FirstPowerState).open_faults] == ["joint block"]
    book.work(FirstPower).findings.mend(build, "joint block", "fitting turned home")
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    book.work(FirstPower).start_machine(build, SOUND)
    verdict = book.work(FirstPower).close(build)
    assert verdict.outcome is Outcome.PASS
    assert any("joint block failed before" in why.template for why in verdict.reasons)


def test_a_wet_look_that_was_withdrawn_is_told_by_the_pass_and_its_joint_stays_wanted() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    wet = book.work(FirstPower).look(build, "block", Paper.WET)
    book.withdraw(wet.seq, "a drop from the filler")
    book.work(FirstPower).end_watch(build, level=LevelLook.NOT_LOOKED, noise=Noise.NOT_LISTENED)
    with pytest.raises(InputError, match="block was wet before"):
        book.work(FirstPower).start_pump(build, JOINTS[:2])
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    assert outcome(book, build, Rung.PUMP) is Outcome.INCONCLUSIVE
    book.work(FirstPower).findings.mend(build, "joint block", "wiped the filler, wrung the cloth")
    book.work(FirstPower).start_machine(build, SOUND)
    verdict = book.work(FirstPower).close(build)
    assert verdict.outcome is Outcome.PASS
    assert any("a drop from the filler" in why.template for why in verdict.reasons)


def test_a_plug_that_failed_is_not_dropped_by_withdrawing_its_reading() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    book.work(FirstPower).read_rails(build, (*rails(), *rails("GPU 2", V12="11.2")))
    book.withdraw(numbers(book, build, RailsRead)[-1], "typed wrong")
    book.work(FirstPower).read_rails(build, rails())
    assert outcome(book, build, Rung.SUPPLY) is Outcome.INCONCLUSIVE
    book.work(FirstPower).read_rails(build, (*rails(), *rails("GPU 2")))
    assert outcome(book, build, Rung.SUPPLY) is Outcome.INCONCLUSIVE
    (fault,) = book.build(build).of(FirstPowerState).open_faults
    assert (fault.what, "typed wrong" in fault.said) == ("GPU 2 +12 V", True)
    book.work(FirstPower).findings.mend(build, "GPU 2 +12 V", "probe sat on +5 V")
    assert outcome(book, build, Rung.SUPPLY) is Outcome.PASS


def test_a_sweep_of_which_a_level_was_withdrawn_is_swept_again() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    plugged(book, build)
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    book.work(FanHeaders).sweeps.begin_sweep(build, "front")
    for reading in falling().readings:
        book.work(FanHeaders).sweeps.sweep_level(build, [reading])
    assert book.work(FanHeaders).sweeps.end_sweep(build).outcome is Outcome.PASS
    assert book.build(build).of(FanHeadersState).sweep_of("front") is not None
    book.withdraw(numbers(book, build, LevelSwept)[0], "read off another fan")
    assert book.build(build).of(FanHeadersState).sweep_of("front") is None
    assert book.work(FanHeaders).close(build).outcome is Outcome.INCONCLUSIVE


def test_a_fault_found_in_a_loop_that_had_passed_takes_the_worth_of_its_hold() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    book.work(Holds).raise_finding(build, where="seal", part_id=None, note="bubbles at the lower port")
    assert word(book, build, "pressure_hold") == "stale"
    assert word(book, build, "fan_headers") == "locked"
    book.work(Mishaps).repaired(build, book.build(build).findings[-1].raised.finding_id, "new seal")
    assert word(book, build, "pressure_hold") == "stale", "only another hold shows whether the cure worked"


def test_a_fault_found_while_the_next_hold_is_prepared_leaves_its_answers() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    book.work(Holds).acknowledge(build, "eye_protection", "Eye protection for everyone.")
    book.work(Holds).raise_finding(build, where="seal", part_id=None, note="bubbles at the lower port")
    prepared, (passed, _) = hold_of(book.build(build)), holds_of(book.build(build))
    assert (prepared.attempt, prepared.acknowledged) == (2, frozenset({"eye_protection"}))
    assert (passed.attempt, passed.stale_by) == (1, book.head().seq)


def test_a_gauge_at_the_end_of_its_range_passes_nothing() -> None:
    # a display at its stop shows 1000 mbar whatever is above: what is lost down to there nobody sees
    book, _, clock = new_book()
    build = ready_build(book)
    plan = replace(PLAN, target_gauge_pa=99_000.0)
    start_hold(book, build, plan)
    type_hold(book, clock, build, start_mbar=plan.gauge.high / 100, fall_mbar=0.0)
    verdict = book.work(Holds).close(build, Ending.PLANNED)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "gauge_at_its_end")


def test_readings_of_which_as_many_were_withdrawn_as_count_pass_nothing() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    readings = [entry.seq for entry in book.entries(build) if entry.payload.KIND == "reading taken"]
    for seq in readings[1:5]:
        book.withdraw(seq, "slip")
    verdict = book.work(Holds).close(build, Ending.PLANNED)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "most_withdrawn")


def test_a_loop_that_is_held_on_air_again_is_empty_by_the_record() -> None:
    # 1.1 L were in it, and no drain was written down: air holds over liquid, too, so neither fill nor power still stand
    book, _, clock = new_book()
    build = powered_build(book, clock)
    stage = book.procedure(book.build(build)).stage("pressure_hold")
    for caution in stage.cautions_at(When.BEFORE_PRESSURE):
        book.work(Holds).acknowledge(build, caution.id, caution.text)
    book.work(Holds).plan(build, PLAN)
    assert "As logged coolant is in the loop" in " ".join(HoldFlow(book, build).card().notices)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.PASS
    book.work(Holds).let_down(build, gauge_reads(0.0))
    assert word(book, build, "fill") == "stale"
    assert word(book, build, "first_power") in {"stale", "locked"}
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    assert book.build(build).of(FillState).movements == ()
    with pytest.raises(NotAllowed):
        book.work(FirstPower).start_pump(build, JOINTS)


def test_what_the_hold_leaves_behind_is_known_to_whoever_works_at_the_loop_next() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    assert book.build(build).held is None
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=520, fall_mbar=30)
    book.work(Holds).close(build, Ending.PLANNED)
    # the first reading is the highest; the plan says 500 mbar, the room 21 degC
    loop = book.build(build).volume
    assert book.build(build).held == Held(gauge_pa=52_000.0, air_k=294.15, let_down=False, volume=loop)
    let_down = book.work(Holds).let_down(build, gauge_reads(0.0))
    assert book.build(build).held == Held(gauge_pa=52_000.0, air_k=294.15, let_down=True, volume=loop)
    book.withdraw(let_down.seq, "read off another gauge")
    assert book.build(build).held == Held(gauge_pa=52_000.0, air_k=294.15, let_down=False, volume=loop)


@pytest.mark.parametrize("rung", list(Rung))
def test_a_fault_found_on_a_ladder_that_had_passed_asks_for_that_rung_and_those_above(rung: Rung) -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    book.work(FirstPower).findings.raise_finding(build, rung, "something is wrong")
    assert word(book, build, "first_power") == "stale"
    assert word(book, build, "fan_headers") == "locked"
    # without cables made by hand the first rung has nothing to measure
    first = max(rung, Rung.SUPPLY, key=list(Rung).index)
    climbed = [each for each in Rung if outcome(book, build, each) is Outcome.PASS]
    assert climbed == list(Rung)[: list(Rung).index(first)]


def test_the_gauge_of_a_hold_is_not_withdrawn_past_its_pass_and_a_finding_takes_it() -> None:
    book, log, clock = new_book()
    build = powered_build(book, clock)
    added = next(entry for entry in book.entries(SHOP) if isinstance(entry.payload, InstrumentAdded))
    head = log.head()
    with pytest.raises(NotAllowed, match="note it in each build"):
        book.withdraw(added.seq, "broken, always shows 500")
    assert log.head() == head
    book.work(Holds).raise_finding(build, where="rig", part_id=None, note="the gauge always shows 500")
    assert word(book, build, "pressure_hold") == "stale"
