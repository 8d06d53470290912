"""Before pressure: no part without a rating, nothing above one, and a source that cannot feed the leak."""

from collections.abc import Callable

import pytest

from commission.base.errors import NotAllowed, UnknownName
from commission.base.frozen import replace
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.instrument import GaugeFace
from commission.record.machine.parts import PartKind
from commission.stages.bleed.work import Bleeds
from commission.stages.build_sheet.entries import PartLeftOut
from commission.stages.build_sheet.work import Sheet
from commission.stages.fill.work.fills import Fills
from commission.stages.pressure_hold.entries import Ending, SourceIsolated, SourceOff
from commission.stages.pressure_hold.state.attempt import judged_hold
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock, new_book
from tests.fills import ML, SQUEEZE
from tests.holds import GAUGE, PLAN, RADIATOR, gauge_reads, ready_build, start_hold, type_hold
from tests.wet_builds import CAN, answer, bleeding_build, end_fill, pour


def with_unrated(book: Logbook) -> str:
    """A loop whose radiator allows 1 bar, with a reservoir and a plate of which nobody knows the rating."""
    build = ready_build(book)
    for name in ("glass tank", "old plate"):
        part = replace(RADIATOR, part_id=name, kind=PartKind.OTHER, name=name, volume_m3=300 * ML, max_gauge_pa=None)
        book.work(Sheet).add_part(build, part)
    return build


def bar(value: float) -> Measured:
    return Measured(quantity=Quantity.GAUGE_PRESSURE, si=value * 1e5, typed=f"{value} bar")


# --- ratings ---------------------------------------------------------------------------------------------------------


def test_one_rated_part_does_not_hide_those_without_a_rating() -> None:
    book, log, _ = new_book()
    build = with_unrated(book)
    head = log.head()
    stage = book.procedure(book.build(build)).stage("pressure_hold")
    rating = next(one for one in stage.cautions if "{rating}" in one.text)
    acts: list[Callable[[], object]] = [
        lambda: book.work(Holds).acknowledge(build, rating.id, "read"),
        lambda: book.work(Holds).print_cautions(build),
        lambda: book.work(Holds).plan(build, PLAN),
    ]
    for act in acts:
        with pytest.raises(NotAllowed, match="no rating is known of glass tank, old plate"):
            act()
    assert log.head() == head


def test_a_part_without_a_rating_that_is_added_after_the_plan_stops_the_start() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    book.work(Holds).plan(build, PLAN)
    book.work(Holds).print_cautions(build)
    book.work(Holds).isolate(build, SourceOff.HOSE_OFF)
    book.work(Sheet).add_part(build, replace(RADIATOR, part_id="new", name="new plate", max_gauge_pa=None))
    with pytest.raises(NotAllowed, match="no rating is known of new plate"):
        book.work(Holds).start(build)


def test_each_part_is_rated_or_left_out_with_a_reason_and_then_the_hold_may_start() -> None:
    book, _, clock = new_book()
    build = with_unrated(book)
    book.work(Sheet).rate_part(build, "glass tank", bar(0.7))
    with pytest.raises(NotAllowed, match="reason"):
        book.work(Sheet).leave_out(build, "old plate", "  ")
    book.work(Sheet).leave_out(build, "old plate", "no data sheet")
    assert isinstance(book.entries(build)[-1].payload, PartLeftOut)
    with pytest.raises(NotAllowed, match="above the rating of the weakest part, glass tank"):
        book.work(Holds).plan(build, replace(PLAN, target_gauge_pa=70_001))
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0)
    verdict = book.work(Holds).close(build, Ending.PLANNED)
    assert verdict.outcome is Outcome.PASS
    assert "Not tested: old plate" in verdict.reasons[1].template


def test_what_was_left_out_stays_in_the_verdict_when_its_entry_is_withdrawn_during_the_hold() -> None:
    book, _, clock = new_book()
    build = with_unrated(book)
    book.work(Sheet).rate_part(build, "glass tank", bar(0.7))
    out = book.work(Sheet).leave_out(build, "old plate", "no data sheet")
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0)
    book.withdraw(out.seq, "it was in after all")
    assert "Not tested: old plate" in book.work(Holds).close(build, Ending.PLANNED).reasons[1].template


def test_the_test_pressure_is_not_counted_in_parts_that_it_does_not_reach() -> None:
    # by hand: 1200 mL radiator, 300 mL tank, 300 mL plate; the plate is left out of the test and filled later
    book, _, _ = new_book()
    build = with_unrated(book)
    book.work(Sheet).leave_out(build, "old plate", "no data sheet")
    state = book.build(build)
    assert state.tested_volume is not None
    assert state.volume is not None
    assert state.tested_volume.volume_m3 == pytest.approx(1500 * ML)
    assert state.volume.volume_m3 == pytest.approx(1800 * ML)
    book.work(Sheet).measure_volume(build, method="strokes", volume_m3=1480 * ML, u_volume_m3=20 * ML, inputs=())
    state = book.build(build)
    assert state.tested_volume is not None
    assert state.volume is not None
    assert state.tested_volume.volume_m3 == pytest.approx(1480 * ML)
    assert state.volume.volume_m3 == pytest.approx(1780 * ML)


def test_leaving_a_part_out_takes_away_what_was_proved_of_the_whole_loop() -> None:
    book, _, clock = new_book()
    build = with_unrated(book)
    for name in ("glass tank", "old plate"):
        book.work(Sheet).rate_part(build, name, bar(0.7))
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.PASS
    book.work(Sheet).leave_out(build, "old plate", "cracked")
    judged = judged_hold(book.build(build))
    assert judged is not None
    assert judged.stale_by is not None


def test_a_rating_that_makes_no_sense_is_refused() -> None:
    book, log, _ = new_book()
    build = with_unrated(book)
    head = log.head()
    with pytest.raises(NotAllowed, match="above 0"):
        book.work(Sheet).rate_part(build, "glass tank", bar(0.0))
    with pytest.raises(UnknownName):
        book.work(Sheet).rate_part(build, "nosuch", bar(1.0))
    with pytest.raises(UnknownName):
        book.work(Sheet).leave_out(build, "nosuch", "why")
    assert log.head() == head


def test_the_last_part_is_never_left_out() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    only = book.build(build).parts[0].part_id
    with pytest.raises(NotAllowed, match="no part would be left"):
        book.work(Sheet).leave_out(build, only, "no data sheet")


@pytest.mark.parametrize("over_pa", [1.0, 1_000.0, 1_999.0])
def test_nothing_is_above_a_rating_not_even_by_the_error_of_the_gauge(over_pa: float) -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    book.work(Holds).plan(build, replace(PLAN, target_gauge_pa=100_000))
    book.work(Holds).print_cautions(build)
    book.work(Holds).isolate(build, SourceOff.HOSE_OFF)
    head = log.head()
    first = Measured(quantity=Quantity.GAUGE_PRESSURE, si=100_000 + over_pa, typed="typed")
    with pytest.raises(NotAllowed, match="above the rating of the weakest part, top radiator"):
        book.work(Holds).start(build, gauge=first)
    assert log.head() == head
    book.work(Holds).start(build, gauge=replace(first, si=100_000.0))


def test_an_absolute_first_reading_is_held_against_the_rating_too() -> None:
    # 2.04 bar absolute at 1.01 bar is 1.03 bar gauge, above 1 bar
    book, _, _ = new_book()
    build = ready_build(book)
    book.work(Holds).plan(build, replace(PLAN, target_gauge_pa=100_000))
    book.work(Holds).print_cautions(build)
    book.work(Holds).isolate(build, SourceOff.HOSE_OFF)
    first = Measured(quantity=Quantity.ABSOLUTE_PRESSURE, si=204_000, typed="2.04 bar")
    room = Measured(quantity=Quantity.ABSOLUTE_PRESSURE, si=101_000, typed="1010 hPa")
    with pytest.raises(NotAllowed, match="above the rating"):
        book.work(Holds).start(build, gauge=first, barometer=room)


# --- the source ------------------------------------------------------------------------------------------------------


def held(how: SourceOff, fall_mbar: float) -> tuple[Logbook, str, HandClock]:
    book, _, clock = new_book()
    build = ready_build(book)
    book.work(Holds).plan(build, PLAN)
    book.work(Holds).print_cautions(build)
    book.work(Holds).isolate(build, SourceOff.HOSE_OFF)
    book.work(Holds).isolate(build, how)
    book.work(Holds).start(build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=fall_mbar)
    return book, build, clock


@pytest.mark.parametrize("how", [SourceOff.HOSE_OFF, SourceOff.VENTED])
def test_a_source_that_cannot_feed_the_loop_lets_a_tight_one_pass(how: SourceOff) -> None:
    book, build, _ = held(how, 0.0)
    verdict = book.work(Holds).close(build, Ending.PLANNED)
    assert verdict.outcome is Outcome.PASS
    assert "source_valve_only" not in [reason.code for reason in verdict.reasons]


def test_a_shut_valve_with_pressure_behind_it_is_no_pass_and_the_verdict_says_why() -> None:
    """A loop at 2e-2 mbar·L/s whose valve lets as much in stands still: no reading tells it from a tight one."""
    book, build, _ = held(SourceOff.VALVE_ONLY, 0.0)
    verdict = book.work(Holds).close(build, Ending.PLANNED)
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert verdict.reasons[0].code == "source_valve_only"


def test_a_leak_seen_in_spite_of_a_shut_valve_alone_still_fails() -> None:
    # 1.2 L · 60 mbar / 1800 s = 4e-2 mbar·L/s, four times the limit
    book, build, _ = held(SourceOff.VALVE_ONLY, 60.0)
    verdict = book.work(Holds).close(build, Ending.PLANNED)
    assert verdict.outcome is Outcome.FAIL
    assert "source_valve_only" in [reason.code for reason in verdict.reasons]


def test_the_answer_about_the_source_is_never_withdrawn_and_never_changed_during_the_hold() -> None:
    book, build, _ = held(SourceOff.VALVE_ONLY, 0.0)
    seq = next(e.seq for e in reversed(book.entries(build)) if isinstance(e.payload, SourceIsolated))
    with pytest.raises(NotAllowed, match="cannot be withdrawn"):
        book.withdraw(seq, "hose was off")
    with pytest.raises(NotAllowed, match="running"):
        book.work(Holds).isolate(build, SourceOff.HOSE_OFF)


# --- zero ------------------------------------------------------------------------------------------------------------


def let_down_from(resolution: float, face: GaugeFace, accuracy: float = 500.0) -> tuple[Logbook, str]:
    book, _, clock = new_book()
    build = ready_build(book)
    gauge = replace(GAUGE, resolution=resolution, face=face, accuracy=accuracy)
    start_hold(book, build, replace(PLAN, gauge=gauge))
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0)
    book.work(Holds).close(build, Ending.PLANNED)
    return book, build


@pytest.mark.parametrize(
    ("step_pa", "face", "zero_mbar", "not_zero_mbar"),
    [
        (10.0, GaugeFace.DIGITAL, 0.1, 13.0),
        (100.0, GaugeFace.UNKNOWN, -1.0, 1.1),
        (2_000.0, GaugeFace.DIAL, 10.0, 13.0),
    ],
)
def test_zero_is_what_the_gauge_itself_can_tell(
    step_pa: float, face: GaugeFace, zero_mbar: float, not_zero_mbar: float
) -> None:
    book, build = let_down_from(step_pa, face)
    head = book.head()
    with pytest.raises(NotAllowed, match=r"zero is at most [0-9.]+ mbar: (one step|half of what)"):
        book.work(Holds).let_down(build, gauge_reads(not_zero_mbar))
    assert book.head() == head
    book.work(Holds).let_down(build, gauge_reads(zero_mbar))
    judged = judged_hold(book.build(build))
    assert judged is not None
    assert judged.let_down


def test_a_gauge_off_its_zero_counts_with_the_valve_open_and_only_within_its_own_error() -> None:
    book, build = let_down_from(10.0, GaugeFace.DIGITAL, accuracy=500.0)
    with pytest.raises(NotAllowed, match="valve open"):
        book.work(Holds).let_down(build, gauge_reads(3.0))
    with pytest.raises(NotAllowed, match="more than its own error"):
        book.work(Holds).let_down(build, gauge_reads(5.1), valve_open=True)
    book.work(Holds).let_down(build, gauge_reads(3.0), valve_open=True)


# --- squeezing -------------------------------------------------------------------------------------------------------


def test_a_squeeze_is_refused_while_a_part_has_no_rating_even_one_left_out_of_the_test() -> None:
    book, log, clock = new_book()
    build = with_unrated(book)
    book.work(Sheet).rate_part(build, "glass tank", bar(0.7))
    book.work(Sheet).leave_out(
        build, "old plate", "no data sheet"
    )  # of the test with air; coolant is in it all the same
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0)
    book.work(Holds).close(build, Ending.PLANNED)
    book.work(Holds).let_down(build, gauge_reads(0.0))
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    book.work(Fills).add_bottle(CAN)
    answer(book, build, book.work(Fills), When.BEFORE_POURING, When.BEFORE_PUMP)
    pour(book, build, 1750)
    end_fill(book, build)
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    book.work(Bleeds).start(build)
    head = log.head()
    with pytest.raises(NotAllowed, match="no rating is known of old plate"):
        book.work(Bleeds).squeeze(build, SQUEEZE)
    assert log.head() == head


def test_a_squeeze_counts_the_pressure_that_stood_there_before() -> None:
    # 0.6 bar before, 1.1 bar after: the rise of 0.5 bar is within the rating of 1 bar, the gauge is not
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    check = replace(SQUEEZE, first_pa=161_325.0, second_pa=211_325.0, inputs=(bar(0.6), bar(1.1)))
    with pytest.raises(NotAllowed, match="above the rating"):
        book.work(Bleeds).squeeze(build, check)
