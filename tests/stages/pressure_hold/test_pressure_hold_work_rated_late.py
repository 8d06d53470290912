"""A rating that is typed after a hold passed: below the pressure that the part has stood the pass goes stale, and where
the part was not tested and still can be."""

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.stages.build_sheet.entries import PartRated
from commission.stages.build_sheet.work import Sheet
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.state.attempt import judged_hold
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock, new_book
from tests.holds import RADIATOR, gauge_reads, ready_build, start_hold, type_hold
from tests.power_builds import JOINTS, rails, supply
from tests.wet_builds import CAN, answer, end_fill, pour, proved_build


@pytest.mark.parametrize(("share", "word"), [(0.5, "stale"), (1.5, "passed")])
def test_a_rating_below_the_pressure_already_held_takes_the_pass_away(share: float, word: str) -> None:
    book, _, clock = new_book()
    build = proved_build(book, clock)
    state = book.build(build)
    judged = judged_hold(state)
    assert judged is not None
    assert judged.plan is not None
    held = max(timed.reading.pressure.si for timed in judged.readings if timed.reading.pressure is not None)
    held = max(held, judged.plan.target_gauge_pa)
    rating = Measured(quantity=Quantity.GAUGE_PRESSURE, si=held * share, typed=f"{held * share / 1e5:g} bar")
    rated = book.work(Sheet).rate_part(build, state.parts[0].part_id, rating)
    assert isinstance(rated.payload, PartRated)
    state = book.build(build)
    hold = next(rung for rung in book.ladder(state) if rung.stage.id == "pressure_hold")
    assert str(hold.word) == word
    assert hold.why == (f"since entry {rated.seq}" if word == "stale" else "attempt 1")


def passed_without_the_plate(book: Logbook, clock: HandClock) -> str:
    """Pass the hold of a loop whose plate was left out of the test."""
    build = ready_build(book)
    plate = replace(RADIATOR, part_id="plate", name="old plate", volume_m3=0.3e-3, max_gauge_pa=None)
    book.work(Sheet).add_part(build, plate)
    book.work(Sheet).leave_out(build, "plate", "no data sheet")
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.PASS
    book.work(Holds).let_down(build, gauge_reads(0.0))
    return build


ONE_BAR = Measured(quantity=Quantity.GAUGE_PRESSURE, si=1e5, typed="1 bar")


def test_a_part_that_was_not_tested_and_is_rated_after_the_pass_is_in_the_test_again() -> None:
    book, _, clock = new_book()
    build = passed_without_the_plate(book, clock)
    rated = book.work(Sheet).rate_part(build, "plate", ONE_BAR)
    state = book.build(build)
    hold, fill = book.ladder(state)[:2]
    assert (str(hold.word), hold.why) == ("stale", f"since entry {rated.seq}")
    assert str(fill.word) == "locked"
    assert [part.name for part in state.tested_parts] == ["top radiator", "old plate"]
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0)
    closed = book.work(Holds).close(build, Ending.PLANNED)
    assert closed.outcome is Outcome.PASS
    assert "parts_not_tested" not in [reason.code for reason in closed.reasons]


def test_a_rating_that_is_typed_with_coolant_in_the_loop_leaves_the_pass_that_says_what_it_did_not_test() -> None:
    book, _, clock = new_book()
    build = passed_without_the_plate(book, clock)
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    book.work(Fills).add_bottle(CAN)
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    pour(book, build, 500)
    book.work(Sheet).rate_part(build, "plate", ONE_BAR)
    state = book.build(build)
    assert str(book.ladder(state)[0].word) == "passed"
    judged = judged_hold(state)
    assert judged is not None
    assert judged.left_out == ("old plate",)
    assert list(state.left_out) == ["plate"]


def test_a_part_that_is_left_out_again_after_it_was_rated_stays_out() -> None:
    book, _, clock = new_book()
    build = passed_without_the_plate(book, clock)
    half = Measured(quantity=Quantity.GAUGE_PRESSURE, si=5e4, typed="500 mbar")
    book.work(Sheet).rate_part(build, "plate", half)
    book.work(Sheet).leave_out(build, "plate", "too old")
    book.work(Sheet).rate_part(build, "plate", half)
    assert [part.name for part in book.build(build).tested_parts] == ["top radiator"]


def test_a_part_that_stands_as_much_as_the_others_is_not_left_out_of_the_test() -> None:
    book, _, clock = new_book()
    build = passed_without_the_plate(book, clock)
    book.work(Sheet).rate_part(build, "plate", ONE_BAR)
    with pytest.raises(NotAllowed, match="stands the test"):
        book.work(Sheet).leave_out(build, "plate", "no time")


def test_joints_of_a_part_that_was_not_tested_must_be_looked_at_while_the_pump_runs() -> None:
    # 1.2 L tested and 0.3 L left out: 1.4 L fill them
    book, _, clock = new_book()
    build = passed_without_the_plate(book, clock)
    fills, power = book.work(Fills), book.work(FirstPower)
    fills.choose_pump_supply(build, PumpSupply.OWN)
    fills.add_bottle(CAN)
    answer(book, build, fills, When.BEFORE_POURING, When.BEFORE_PUMP)
    pour(book, build, 1400)
    assert end_fill(book, build).outcome is Outcome.PASS
    supply(book, build)
    power.read_rails(build, rails())
    answer(book, build, power, When.BEFORE_PUMP)
    with pytest.raises(InputError, match="old plate was left out of the hold"):
        power.start_pump(build, JOINTS)
    power.start_pump(build, (*JOINTS, "Old plate, inlet"))
