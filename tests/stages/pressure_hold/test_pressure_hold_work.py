"""The pressure hold in the log: what must come first, what a verdict is, and the way back after a failure."""

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.entries import NoteAdded
from commission.record.ladder import StageWord
from commission.record.logbook import Logbook
from commission.record.logged import Sample
from commission.record.mishaps import Mishaps
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.entries import Ending, HoldClosed, SourceOff
from commission.stages.pressure_hold.state.attempt import hold_of, holds_of
from commission.stages.pressure_hold.work.holds import Holds
from tests.answers import OF_A_HOLD
from tests.fakes import START_MS, HandClock, new_book
from tests.holds import PLAN, air_reads, gauge_reads, ready_build, start_hold, type_hold
from tests.wet_builds import bleeding_build, filled_build, run_cycle

LEAK_MBAR = 60.0
"""Fall of the gauge in the leaking holds below: 1.2 L · 60 mbar / 1800 s = 4e-2 mbar·L/s, four times the limit."""


def answer_cautions(book: Logbook, build_id: str) -> None:
    stage = book.procedure(book.build(build_id)).stage("pressure_hold")
    for caution in stage.cautions_at(When.BEFORE_PRESSURE):
        book.work(Holds).acknowledge(build_id, caution.id, caution.text)


def test_nothing_starts_before_the_cautions_the_plan_and_the_steps() -> None:
    book, log, _ = new_book()
    build_id = ready_build(book)
    stage = book.procedure(book.build(build_id)).stage("pressure_hold")
    with pytest.raises(NotAllowed, match="cautions"):
        book.work(Holds).start(build_id)
    with pytest.raises(NotAllowed, match="cautions"):
        book.work(Holds).do_step(build_id, stage.steps[0].id)
    answer_cautions(book, build_id)
    with pytest.raises(NotAllowed, match="plan"):
        book.work(Holds).start(build_id)
    book.work(Holds).plan(build_id, PLAN)
    with pytest.raises(NotAllowed, match="not done yet"):
        book.work(Holds).start(build_id)
    with pytest.raises(NotAllowed, match="not the next"):
        book.work(Holds).do_step(build_id, stage.steps[1].id)
    for step in stage.steps:
        book.work(Holds).do_step(build_id, step.id)
    with pytest.raises(NotAllowed, match="how is the source off"):
        book.work(Holds).start(build_id)
    book.work(Holds).isolate(build_id, SourceOff.HOSE_OFF)
    before = log.head().seq
    book.work(Holds).start(build_id)
    assert log.head().seq == before + 1
    assert book.ladder(book.build(build_id))[0].word is StageWord.RUNNING
    with pytest.raises(NotAllowed, match="running"):
        book.work(Holds).start(build_id)


def test_a_plan_above_the_weakest_part_is_refused_without_override() -> None:
    book, log, _ = new_book()
    build_id = ready_build(book)
    answer_cautions(book, build_id)
    before = log.head()
    with pytest.raises(NotAllowed, match="weakest part"):
        book.work(Holds).plan(build_id, replace(PLAN, target_gauge_pa=100_001))
    assert log.head() == before


def test_a_rating_lowered_after_planning_still_stops_the_start() -> None:
    book, _, _ = new_book()
    build_id = ready_build(book)
    answer_cautions(book, build_id)
    book.work(Holds).plan(build_id, PLAN)
    for step in book.procedure(book.build(build_id)).stage("pressure_hold").steps:
        book.work(Holds).do_step(build_id, step.id)
    weak = replace(book.build(build_id).parts[0], part_id="weak", name="weak plate", max_gauge_pa=30_000)
    book.work(Sheet).add_part(build_id, weak)
    with pytest.raises(NotAllowed, match="weakest part"):
        book.work(Holds).start(build_id)


def test_a_tight_loop_passes_and_a_leaking_one_fails() -> None:
    for fall, outcome in [(0.0, Outcome.PASS), (LEAK_MBAR, Outcome.FAIL)]:
        book, _, clock = new_book()
        build_id = ready_build(book)
        start_hold(book, build_id)
        type_hold(book, clock, build_id, start_mbar=500, fall_mbar=fall)
        assert book.work(Holds).close(build_id, Ending.PLANNED).outcome is outcome


def test_the_stored_verdict_is_what_a_fresh_judgement_gives() -> None:
    book, log, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=LEAK_MBAR)
    given = book.work(Holds).close(build_id, Ending.PLANNED)
    stored = log.stored[-1].payload
    assert isinstance(stored, HoldClosed)
    assert stored.verdict == given
    again = book.work(Holds).verdict(book.build(build_id))
    assert again is not None
    assert replace(again, picture=None) == given


def test_no_verdict_is_given_before_the_planned_end() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0, minutes=20)
    verdict = book.work(Holds).verdict(book.build(build_id))
    assert verdict is not None
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert book.work(Holds).close(build_id, Ending.BY_HAND).outcome is Outcome.INCONCLUSIVE


@pytest.mark.parametrize("ending", [Ending.ABANDONED, Ending.INTERRUPTED])
def test_a_hold_that_was_broken_off_bears_no_verdict(ending: Ending) -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0)
    assert book.work(Holds).close(build_id, ending).outcome is Outcome.INVALID


def failed_hold(book: Logbook, clock: HandClock) -> str:
    build_id = ready_build(book)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=LEAK_MBAR)
    book.work(Holds).close(build_id, Ending.PLANNED)
    return build_id


def test_a_failed_hold_asks_for_a_finding_and_a_cure_before_the_retest() -> None:
    book, _, clock = new_book()
    build_id = failed_hold(book, clock)
    with pytest.raises(NotAllowed, match="record what was found"):
        book.work(Holds).plan(build_id, PLAN)
    book.work(Holds).raise_finding(build_id, where="seal", part_id=None, note="pinched O-ring")
    with pytest.raises(NotAllowed, match="not repaired yet"):
        book.work(Holds).plan(build_id, PLAN)
    finding = book.build(build_id).findings[0]
    book.work(Mishaps).repaired(build_id, finding.raised.finding_id, "new O-ring")
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0)
    assert book.work(Holds).close(build_id, Ending.PLANNED).outcome is Outcome.PASS
    state = book.build(build_id)
    assert [h.verdict_entry.verdict.outcome for h in holds_of(state) if h.verdict_entry] == [Outcome.FAIL, Outcome.PASS]
    assert state.findings[0].proved_by == 2


@pytest.mark.parametrize(("where", "note"), [("nowhere", "x"), ("seal", " ")])
def test_a_finding_says_where_and_what(where: str, note: str) -> None:
    book, log, clock = new_book()
    build_id = failed_hold(book, clock)
    before = log.head()
    with pytest.raises(NotAllowed):
        book.work(Holds).raise_finding(build_id, where=where, part_id=None, note=note)
    assert log.head() == before


def test_a_withdrawn_reading_does_not_count_and_stales_a_given_verdict() -> None:
    book, log, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    slip = book.work(Holds).read(build_id, pressure=gauge_reads(50.0), air=air_reads(21))
    book.withdraw(slip.seq, "a digit was missing")
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0)
    assert book.work(Holds).close(build_id, Ending.PLANNED).outcome is Outcome.PASS
    reading = next(e for e in log.stored if e.payload.KIND == "reading taken" and e.seq > slip.seq)
    book.withdraw(reading.seq, "misread")
    assert book.ladder(book.build(build_id))[0].word is StageWord.STALE


def test_a_reading_typed_late_counts_from_when_it_was_seen() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    clock.run(600)
    book.work(Holds).read(build_id, pressure=gauge_reads(500), observed_ms=START_MS + 120_000)
    assert hold_of(book.build(build_id)).readings[0].elapsed.elapsed_s == 120
    for wrong_ms in (START_MS - 1, START_MS + 601_000):
        with pytest.raises(NotAllowed, match="time"):
            book.work(Holds).read(build_id, pressure=gauge_reads(500), observed_ms=wrong_ms)


def test_a_hold_survives_sleep_and_a_wall_clock_that_is_set_back() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    for _ in range(7):
        book.work(Holds).read(build_id, pressure=gauge_reads(500), air=air_reads(21))
        clock.run(100)
        clock.sleep(200)
        clock.step_wall(-700)
    elapsed = [reading.elapsed.elapsed_s for reading in hold_of(book.build(build_id)).readings]
    assert elapsed == [0, 300, 600, 900, 1200, 1500, 1800]
    assert book.work(Holds).close(build_id, Ending.PLANNED).outcome is Outcome.PASS


@pytest.mark.parametrize(("step_s", "way"), [(-3600.0, "back"), (3600.0, "forward")])
def test_a_clock_that_is_set_during_a_hold_is_told_with_the_verdict_and_does_not_count(step_s: float, way: str) -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0, minutes=10)
    clock.step_wall(step_s)
    with pytest.raises(NotAllowed, match="clock was moved during the hold; type the reading without a time"):
        book.work(Holds).read(build_id, pressure=gauge_reads(500), observed_ms=clock.wall_ms - 60_000)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0, minutes=20)
    running = book.work(Holds).verdict(book.build(build_id))
    assert running is not None
    assert running.reasons[-1].code == "clock_moved"
    verdict = book.work(Holds).close(build_id, Ending.PLANNED)
    assert verdict.outcome is Outcome.PASS
    assert verdict.reasons[-1].template == (
        f"The computer's clock was set {way} by {{0}} during the hold; a clock that cannot be set counts."
    )
    assert verdict.reasons[-1].amounts[0].si == 3600


def test_a_clock_set_back_across_a_restart_is_noticed_by_the_end_where_no_reading_shows_it() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0)
    clock.restart(60)
    clock.step_wall(-1800)
    verdict = book.work(Holds).close(build_id, Ending.BY_HAND)
    assert verdict.outcome is Outcome.INVALID
    assert verdict.reasons[0].code == "clock_stepped"


def test_a_restart_alone_is_told() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0, minutes=10)
    clock.restart(60)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0, minutes=20)
    verdict = book.work(Holds).close(build_id, Ending.PLANNED)
    assert verdict.outcome is Outcome.PASS
    assert verdict.reasons[-1].code == "restarted"


def test_a_clock_set_forward_after_a_restart_makes_no_time() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    clock.restart(60)
    for _ in range(7):
        book.work(Holds).read(build_id, pressure=gauge_reads(500), air=air_reads(21.0))
        clock.run(20)
        clock.step_wall(280)
    verdict = book.work(Holds).close(build_id, Ending.PLANNED)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INVALID, "clock_set_after_restart")


def test_a_hold_over_coolant_by_the_record_says_that_it_takes_it_as_drained() -> None:
    book, _, clock = new_book()
    build_id = filled_build(book, clock)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0)
    assert book.work(Holds).close(build_id, Ending.PLANNED).reasons[1].code == "taken_as_drained"
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0)
    codes = {reason.code for reason in book.work(Holds).close(build_id, Ending.PLANNED).reasons}
    assert "taken_as_drained" not in codes


def test_fed_readings_that_lie_after_now_are_refused_and_leave_no_verdict_where_they_are_stored() -> None:
    book, log, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    rows = [
        Sample(elapsed_s=s, wall_ms=START_MS, pressure_pa=50_000.0, air_k=294.15, barometer_pa=None, typed="500.0")
        for s in (0.0, 900.0, 1800.0)
    ]
    with pytest.raises(InputError, match="nothing is read after now"):
        book.work(Holds).stream(build_id, rows)
    assert book.work(Holds).stream(build_id, rows[:1]) == 1
    log.add_samples(hold_of(book.build(build_id)).series, rows[1:])  # as a program that did not look would have
    clock.run(2)
    verdict = book.work(Holds).close(build_id, Ending.PLANNED)
    assert verdict.outcome is Outcome.INVALID
    assert verdict.reasons[0].code == "read_after_now"


def test_no_entry_of_any_stage_is_seen_after_now() -> None:
    book, log, clock = new_book()
    build_id = ready_build(book)
    stored = len(log.stored)
    with pytest.raises(NotAllowed, match="lies after now"):
        book.record(build_id, NoteAdded(text="tomorrow"), observed_ms=clock.wall_ms + 1)
    assert len(log.stored) == stored
    book.record(build_id, NoteAdded(text="now"), observed_ms=clock.wall_ms)


def test_a_hold_that_is_taken_over_takes_no_typed_reading_and_no_start_after_what_was_done_since() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    prepare = book.procedure(book.build(build_id)).stage("pressure_hold")
    for caution in prepare.cautions_at(When.BEFORE_PRESSURE):
        book.work(Holds).acknowledge(build_id, caution.id, caution.text)
    book.work(Holds).plan(build_id, PLAN)
    for step in prepare.steps:
        book.work(Holds).do_step(build_id, step.id)
    book.work(Holds).isolate(build_id, SourceOff.HOSE_OFF)
    with pytest.raises(NotAllowed, match="begin after now"):
        book.work(Holds).start(build_id, began_ms=clock.wall_ms)
    book.work(Holds).start(build_id, began_ms=clock.wall_ms - 3_600_000)
    with pytest.raises(NotAllowed, match="taken over from a file"):
        book.work(Holds).read(build_id, pressure=gauge_reads(500))
    assert book.work(Holds).elapsed_s(book.build(build_id)) == 0


def test_a_hold_that_began_before_a_part_was_taken_out_proves_nothing_of_the_part_in_its_place() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    clock.run(3600)
    old = book.build(build_id).parts[0]
    book.work(Sheet).add_part(build_id, replace(old, part_id="second", name="second radiator"))
    book.work(Holds).times.refuse_began(book.build(build_id), clock.wall_ms - 1_800_000)
    taken = book.work(Sheet).remove_part(build_id, old.part_id, "leaked, swapped for another")
    with pytest.raises(NotAllowed, match='"part removed"'):
        book.work(Holds).times.refuse_began(book.build(build_id), clock.wall_ms - 1_800_000)
    book.withdraw(taken.seq, "it stayed in")
    book.work(Holds).times.refuse_began(book.build(build_id), clock.wall_ms - 1_800_000)


def test_a_hold_that_began_before_coolant_went_in_or_out_proves_nothing_of_the_loop_as_it_is() -> None:
    book, _, clock = new_book()
    build_id = bleeding_build(book, clock)
    after_the_fill_ms = clock.wall_ms + 60_000
    with pytest.raises(NotAllowed, match='"coolant added"'):
        book.work(Holds).times.refuse_began(book.build(build_id), clock.wall_ms - 60_000)
    clock.run(3600)
    book.work(Holds).times.refuse_began(book.build(build_id), after_the_fill_ms)
    top_up = run_cycle(book, clock, build_id, 20)
    with pytest.raises(NotAllowed, match='"bleed cycle done"'):
        book.work(Holds).times.refuse_began(book.build(build_id), after_the_fill_ms)
    book.withdraw(top_up.seq, "typed twice")
    book.work(Holds).times.refuse_began(book.build(build_id), after_the_fill_ms)


def test_a_restart_with_a_wall_clock_set_back_makes_the_hold_invalid() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0)
    clock.restart(60)
    clock.step_wall(-5000)
    book.work(Holds).read(build_id, pressure=gauge_reads(500), air=air_reads(21))
    verdict = book.work(Holds).close(build_id, Ending.BY_HAND)
    assert verdict.outcome is Outcome.INVALID
    assert verdict.reasons[0].code == "clock_stepped"


def test_streamed_samples_and_typed_readings_are_judged_together_and_sealed() -> None:
    book, log, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    for second in range(0, 1801, 10):
        sample = Sample(
            elapsed_s=float(second),
            wall_ms=START_MS + second * 1000,
            pressure_pa=50_000.0,
            air_k=None,
            barometer_pa=None,
            typed="500.0",
        )
        assert book.work(Holds).stream(build_id, [sample]) == second // 10 + 1
        clock.run(10)
    book.work(Holds).read(build_id, pressure=None, air=air_reads(21))
    book.work(Holds).read(build_id, pressure=gauge_reads(500), air=air_reads(21))
    verdict = book.work(Holds).close(build_id, Ending.PLANNED)
    assert verdict.outcome is Outcome.PASS
    assert verdict.readings >= 181
    closed = log.stored[-1].payload
    assert isinstance(closed, HoldClosed)
    assert (closed.samples, len(closed.digest)) == (181, 64)


def test_an_extended_hold_must_be_longer_and_counts_its_looks() -> None:
    book, _, _ = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    with pytest.raises(NotAllowed, match="longer"):
        book.work(Holds).extend(build_id, 1800)
    book.work(Holds).extend(build_id, 3600)
    hold = hold_of(book.build(build_id))
    assert (hold.looks, hold.end_s) == (2, 3600)


def test_printed_cautions_let_a_command_line_start_and_the_log_says_so() -> None:
    book, _, _ = new_book()
    build_id = ready_build(book)
    book.work(Holds).print_cautions(build_id)
    book.work(Holds).plan(build_id, PLAN)
    book.work(Holds).isolate(build_id, SourceOff.HOSE_OFF)
    book.work(Holds).start(build_id)
    hold = hold_of(book.build(build_id))
    assert hold.running
    assert hold.acknowledged == frozenset()
    assert hold.printed == OF_A_HOLD


def test_what_a_plan_can_decide_is_known_before_it_starts() -> None:
    book, _, _ = new_book()
    build_id = ready_build(book)
    state = book.build(build_id)
    good = book.work(Holds).capability(state, PLAN)
    assert good.can_decide
    coarse = replace(PLAN.gauge, resolution=5_000)
    poor = book.work(Holds).capability(state, replace(PLAN, gauge=coarse, hold_s=300))
    assert not poor.can_decide
    assert poor.smallest_detectable > PLAN.limit_pa_m3_s
    # The limit as a drop: Q·t/V = 1e-3 Pa·m3/s · 1800 s / 1.2e-3 m3 = 1500 Pa, by hand.
    assert good.expected_drop_pa == pytest.approx(1500, rel=0.02)
