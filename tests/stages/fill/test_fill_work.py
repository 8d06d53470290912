"""The fill in the log: the order of things, bottles over builds, wrong pours, refusals that change nothing.

Outside: totals are added up by hand beside them.
"""

from collections.abc import Callable

import pytest

from commission.base.errors import CommissionError, InputError, NotAllowed, UnknownName
from commission.base.frozen import replace
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.entries import CautionsPrinted
from commission.record.ladder import StageWord
from commission.record.logbook import Logbook
from commission.record.record import SHOP
from commission.stages.bleed.work import Bleeds
from commission.stages.build_sheet.work import Sheet
from commission.stages.fill.model.coolant import Base
from commission.stages.fill.model.fill import Drain, Evaporation, Movement, Reservoir, Spill, SyringeOut
from commission.stages.fill.state import FillState
from commission.stages.fill.work.fills import Fills
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.answers import FILL
from tests.fakes import new_book
from tests.fills import ML
from tests.holds import PLAN, RADIATOR, gauge_reads, ready_build, start_hold, type_hold
from tests.registered import REGISTRY
from tests.wet_builds import (
    CAN,
    JUG,
    amount,
    answer,
    bleeding_build,
    cycle,
    end_fill,
    filled_build,
    pour,
    poured,
    pouring_build,
    proved_build,
    run_cycle,
)

TANK = Reservoir(bore_m=0.06, height_m=0.2)
TEMPERATURE, LENGTH = Quantity.TEMPERATURE, Quantity.LENGTH


def filled_ml(book: Logbook, build: str) -> float:
    return book.work(Fills).verdict(book.build(build)).filled_m3 / ML


def word_of(book: Logbook, build: str, stage: str) -> StageWord:
    return next(rung.word for rung in book.ladder(book.build(build)) if rung.stage.id == stage)


def mm(height: float) -> Measured:
    return Measured(quantity=LENGTH, si=height / 1000, typed=f"{height:g} mm")


def celsius(value: float) -> Measured:
    return Measured(quantity=TEMPERATURE, si=value + 273.15, typed=f"{value:g} degC")


# --- the order of things ---------------------------------------------------------------------------------------------


def test_a_loop_that_was_not_proved_tight_takes_no_coolant() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    assert word_of(book, build, "fill") is StageWord.LOCKED
    with pytest.raises(NotAllowed, match="Fill is locked: it rests on Pressure hold"):
        book.work(Fills).move(build, poured(100))
    with pytest.raises(NotAllowed, match="locked"):
        book.work(Fills).acknowledge(build, "mains_out", "read")
    with pytest.raises(NotAllowed, match="locked"):
        book.work(Fills).close(build)


def test_nothing_is_poured_before_every_caution_was_answered() -> None:
    book, log, clock = new_book()
    build = proved_build(book, clock)
    cautions = book.work(Fills).cautions(book.build(build), When.BEFORE_POURING)
    for caution in cautions:
        head = log.head()
        with pytest.raises(NotAllowed, match="not answered"):
            pour(book, build, 100)
        assert log.head() == head
        book.work(Fills).acknowledge(build, caution.id, caution.text)
    pour(book, build, 100)
    assert filled_ml(book, build) == pytest.approx(100, abs=0.01)


def test_printed_cautions_count_and_the_record_says_that_they_were_only_printed() -> None:
    book, log, clock = new_book()
    build = proved_build(book, clock)
    book.work(Fills).print_cautions(build, When.BEFORE_POURING)
    pour(book, build, 100)
    assert isinstance(log.stored[-2].payload, CautionsPrinted)
    assert book.build(build).run("fill").acknowledged == frozenset()


def test_each_attempt_asks_for_its_cautions_anew() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    with pytest.raises(NotAllowed, match=f"not answered yet: {len(FILL)} cautions"):
        pour(book, build, 20)


def test_nothing_is_poured_into_a_loop_under_test_pressure() -> None:
    book, log, clock = new_book()
    build = pouring_build(book, clock)
    start_hold(book, build)
    head = log.head()
    with pytest.raises(NotAllowed, match="Fill is locked"):
        pour(book, build, 100)
    assert log.head() == head
    book.override(build, "pressure_hold", "surely tight")
    with pytest.raises(NotAllowed, match="under test pressure"):
        pour(book, build, 100)


def test_an_override_lets_a_build_without_a_hold_be_filled_and_is_loud() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    book.work(Fills).add_bottle(CAN)
    book.override(build, "pressure_hold", "held on the other bench")
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    pour(book, build, 100)
    assert word_of(book, build, "pressure_hold") is StageWord.OVERRIDDEN


def test_a_procedure_without_a_fill_refuses_in_words() -> None:
    book, log, clock = new_book()
    book.open_build("new rig")
    toml = log.entries_of_kind("procedure adopted")[0].payload.toml  # type: ignore[attr-defined]
    start, end = toml.index('[[stages]]\nid = "fill"'), toml.index("[[typical_parts]]")
    older = Logbook(log, clock, registry=REGISTRY, procedure_toml=toml[:start] + toml[end:], program="old")
    old_build = older.open_build("old rig")
    for work in (older.work(Fills), older.work(Bleeds)):
        with pytest.raises(NotAllowed, match=r'"old rig" was opened under has no stage (fill|bleed)'):
            work.unlocked(old_build)


def test_steps_are_done_in_order() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    with pytest.raises(NotAllowed, match="next is: protect"):
        book.work(Fills).do_step(build, "look")
    book.work(Fills).do_step(build, "protect")
    assert book.work(Fills).missing_steps(book.build(build))[0] == "first_fill"


def test_no_step_is_done_on_a_loop_that_still_holds_pressure_by_the_book() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome == "pass"
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    with pytest.raises(NotAllowed, match="logged as under test pressure"):
        book.work(Fills).do_step(build, "protect")
    book.work(Holds).let_down(build, gauge_reads(0.0))
    book.work(Fills).do_step(build, "protect")


def test_a_fill_whose_steps_nobody_answered_is_no_pass_however_much_is_in() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    answer(book, build, book.work(Fills), When.BEFORE_PUMP)
    pour(book, build, 1100)
    book.work(Fills).do_step(build, "protect")
    verdict = book.work(Fills).close(build)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "steps_open")
    assert "first_fill, bursts, look" in verdict.reasons[0].template
    assert word_of(book, build, "bleed") is StageWord.LOCKED
    answer(book, build, book.work(Fills), When.BEFORE_POURING, When.BEFORE_PUMP)
    for step in ("protect", "first_fill", "bursts", "look"):  # the mark may come later
        book.work(Fills).do_step(build, step)
    assert book.work(Fills).close(build).outcome is Outcome.PASS
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    assert book.work(Fills).close(build).outcome is Outcome.PASS  # nothing was poured since that look
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    pour(book, build, 5)
    assert book.work(Fills).close(build).outcome is Outcome.INCONCLUSIVE


# --- bottles ---------------------------------------------------------------------------------------------------------


def test_a_bottle_is_shared_by_builds_and_what_left_it_is_counted_once() -> None:
    book, _, clock = new_book()
    first = pouring_build(book, clock)
    second = pouring_build(book, clock, "Shelf box")
    pour(book, first, 500)
    pour(book, second, 300)
    wrong = pour(book, second, 250)
    book.withdraw(wrong.seq, "typed twice")
    assert book.work(Fills).remaining_m3(CAN) == pytest.approx((3000 - 500 - 300) * ML)
    assert book.work(Fills).remaining_m3(JUG) == pytest.approx(3000 * ML)
    assert (filled_ml(book, first), filled_ml(book, second)) == pytest.approx((500, 300), abs=0.02)


def test_a_bleeds_top_ups_leave_the_bottle_as_well() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    run_cycle(book, clock, build, 40)
    gone = run_cycle(book, clock, build, 12)
    book.withdraw(gone.seq, "not this bottle")
    assert book.work(Fills).remaining_m3(CAN) == pytest.approx((3000 - 1100 - 40) * ML)
    assert filled_ml(book, build) == pytest.approx(1140, abs=0.05)


def test_a_bottle_gives_no_more_than_it_held() -> None:
    book, log, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 2000)
    head = log.head()
    with pytest.raises(InputError, match="1000 mL left as logged, not 1100 mL"):
        pour(book, build, 1100)
    assert log.head() == head
    pour(book, build, 1015)  # bottles are filled a little above their nominal size


@pytest.mark.parametrize(
    ("change", "error"),
    [
        ({"name": "CAN"}, NotAllowed),
        ({"size_m3": 0.0}, InputError),
        ({"base": Base.PROPYLENE_GLYCOL}, InputError),
        ({"base": Base.READY_MIX}, InputError),
        ({"density_kg_m3": 1.035}, InputError),
        ({"fraction": 0.3}, InputError),
    ],
)
def test_a_label_that_contradicts_itself_is_not_stored(change: dict[str, object], error: type[CommissionError]) -> None:
    book, log, _ = new_book()
    book.work(Fills).add_bottle(CAN)
    head = log.head()
    with pytest.raises(error):
        book.work(Fills).add_bottle(replace(CAN, **({"name": "other", "bottle_id": "o"} | change)))  # type: ignore[arg-type]
    assert log.head() == head


def test_bottles_are_found_by_name_and_retired() -> None:
    book, _, _ = new_book()
    book.work(Fills).add_bottle(CAN)
    assert book.work(Fills).find_bottle(" Can ") == CAN
    book.work(Fills).retire_bottle(CAN.bottle_id, "empty")
    with pytest.raises(UnknownName, match='there is no bottle "can"; there are: none yet'):
        book.work(Fills).find_bottle("can")
    assert [entry.payload.KIND for entry in book.entries(SHOP)][-1] == "bottle retired"


# --- wrong pours -----------------------------------------------------------------------------------------------------


def test_a_wrong_pour_is_withdrawn_and_no_longer_counts() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 250)
    wrong = pour(book, build, 520)
    book.withdraw(wrong.seq, "typed 520 for 250")
    pour(book, build, 250)
    state = book.build(build)
    assert [moved.movement.dose.volume_m3 / ML for moved in state.of(FillState).moves] == pytest.approx([250, 250])
    assert wrong.seq in state.withdrawn
    assert filled_ml(book, build) == pytest.approx(500, abs=0.02)


@pytest.mark.parametrize(
    ("movement", "told"),
    [
        # by hand: 1200 mL fit, with 1.64 * 30 mL of doubt: 1100 + 10 mL pass, 1100 + 400 mL are more than fits
        (poured(400), "400 mL added"),
        # and 1100 - 500 mL lack 600 mL, of which 0.30 * 1200 = 360 mL may be missing
        (Drain(dose=amount(500)), "500 mL drained"),
        (poured(10), ""),
    ],
    ids=["too much", "too little", "neither"],
)
def test_an_amount_that_spoke_against_a_pass_and_was_withdrawn_is_told(movement: Movement, told: str) -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 1100)
    book.withdraw(book.work(Fills).move(build, movement).seq, "typed twice")
    verdict = end_fill(book, build)
    assert verdict.outcome == "pass"
    said = [one.template for one in verdict.reasons if one.code == "withdrawn_against"]
    assert [told in one and "typed twice" in one for one in said] == [True] * bool(told)


def test_a_pour_withdrawn_after_the_verdict_takes_its_worth() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    first = pour(book, build, 600)
    pour(book, build, 500)
    assert end_fill(book, build).outcome == "pass"
    assert word_of(book, build, "fill") is StageWord.PASSED
    assert word_of(book, build, "bleed") is StageWord.OPEN
    gone = book.withdraw(first.seq, "it went into the other build")
    fill = book.build(build).judged_run("fill")
    assert fill is not None
    assert fill.stale_by == gone.seq
    assert word_of(book, build, "fill") is StageWord.STALE
    assert word_of(book, build, "bleed") is StageWord.LOCKED


@pytest.mark.parametrize("kind", ["fill closed", "bleed started", "bleed closed"])
def test_what_everything_later_rests_on_is_never_withdrawn(kind: str) -> None:
    book, log, clock = new_book()
    build = bleeding_build(book, clock)
    book.work(Bleeds).cycle(build, cycle(0))
    book.work(Bleeds).close(build)
    (entry,) = log.entries_of_kind(kind)
    with pytest.raises(NotAllowed, match="cannot be withdrawn"):
        book.withdraw(entry.seq, "I would rather not")


# --- refusals change nothing -----------------------------------------------------------------------------------------

REFUSED: list[tuple[str, Callable[[Logbook, str], object], str]] = [
    (
        "more out than in",
        lambda b, i: b.work(Fills).move(i, Drain(dose=amount(700))),
        "more than the 500 mL in the loop",
    ),
    ("spilled more than in", lambda b, i: b.work(Fills).move(i, Spill(dose=amount(700))), "more than"),
    ("drawn more than in", lambda b, i: b.work(Fills).move(i, SyringeOut(dose=amount(700))), "more than"),
    ("lost more than in", lambda b, i: b.work(Fills).move(i, Evaporation(dose=amount(700))), "more than"),
    ("beyond the bottle", lambda b, i: b.work(Fills).move(i, poured(3100)), "left as logged"),
    ("above the reservoir", lambda b, i: b.work(Fills).read_level(i, mm(250), None), "outside the straight part"),
    ("below the reservoir", lambda b, i: b.work(Fills).read_level(i, mm(-1), None), "outside the straight part"),
    ("frozen", lambda b, i: b.work(Fills).read_level(i, mm(100), celsius(-5)), "below the freezing point"),
    ("boiling", lambda b, i: b.work(Fills).read_level(i, mm(100), celsius(101)), "above 100"),
    ("no reservoir", lambda b, i: b.work(Fills).describe_reservoir(i, replace(TANK, bore_m=0.0)), "above 0"),
    ("tube too thick", lambda b, i: b.work(Fills).describe_reservoir(i, replace(TANK, insert_m=0.07)), "thinner"),
    ("step out of order", lambda b, i: b.work(Fills).do_step(i, "look"), "not the next one"),
]


@pytest.mark.parametrize(("act", "said"), [case[1:] for case in REFUSED], ids=[case[0] for case in REFUSED])
def test_a_refusal_leaves_the_log_as_it_was(act: Callable[[Logbook, str], object], said: str) -> None:
    book, log, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 500)
    book.work(Fills).describe_reservoir(build, TANK)
    head, before = log.head(), book.build(build)
    with pytest.raises(CommissionError, match=said):
        act(book, build)
    assert log.head() == head
    assert book.build(build) == before


def test_a_level_needs_a_reservoir_and_a_drain_something_in_the_loop() -> None:
    book, log, clock = new_book()
    build = pouring_build(book, clock)
    head = log.head()
    with pytest.raises(NotAllowed, match="reservoir was not described"):
        book.work(Fills).read_level(build, mm(100), None)
    with pytest.raises(NotAllowed, match="nothing was added yet"):
        book.work(Fills).liquid_in(book.build(build))
    with pytest.raises(NotAllowed, match="nothing was added yet"):
        book.work(Fills).close(build)
    assert log.head() == head


# --- levels and headspace --------------------------------------------------------------------------------------------


def test_a_fill_that_leaves_too_little_air_is_no_pass_until_some_is_drawn_off() -> None:
    """By hand: 3 mm of a bore of 60 mm are 8.5 mL of air above 1150 mL of water, which swells by 1.5 % from 21 to 60 °C
    (CoolProp: 997.99 and 983.20 kg/m3), 17 mL: it fills the loop. 43 mm are 122 mL, seven times as much."""
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    fills = book.work(Fills)
    answer(book, build, fills, When.BEFORE_PUMP)
    fills.describe_reservoir(build, Reservoir(bore_m=0.06, height_m=0.13))
    pour(book, build, 1150)
    fills.read_level(build, mm(127), celsius(21))
    closed = end_fill(book, build)
    assert (closed.outcome, closed.reasons[0].code) == (Outcome.INCONCLUSIVE, "liquid_full")
    answer(book, build, fills, When.BEFORE_POURING, When.BEFORE_PUMP)
    fills.move(build, SyringeOut(dose=amount(113)))
    fills.read_level(build, mm(87), celsius(21))
    assert fills.close(build).outcome is Outcome.PASS


def test_the_level_takes_the_headspace_off_what_is_expected() -> None:
    # By hand: 1200 mL less 50 mm of π·0.06²/4 m2 = 141.37 mL: 1058.63 mL.
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 1000)
    assert book.work(Fills).verdict(book.build(build)).expected_m3 == pytest.approx(1.2e-3)
    book.work(Fills).describe_reservoir(build, TANK)
    book.work(Fills).read_level(build, mm(150), celsius(21))
    assert book.work(Fills).verdict(book.build(build)).expected_m3 == pytest.approx(1058.628e-6, abs=1e-9)
    report = book.work(Fills).headspace(book.build(build))
    assert report is not None
    assert report.gauge_pa is not None


def test_what_is_poured_after_the_level_was_read_takes_the_air_that_it_told() -> None:
    # By hand: 141.37 mL of air at the level; 70 mL more leave 71.37 mL, and 142 mL more leave none.
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 700)
    book.work(Fills).describe_reservoir(build, TANK)
    book.work(Fills).read_level(build, mm(150), celsius(21))
    fresh = book.work(Fills).headspace(book.build(build))
    pour(book, build, 70)
    old = book.work(Fills).headspace(book.build(build))
    assert fresh is not None
    assert old is not None
    assert fresh.gauge_pa is not None
    assert old.gauge_pa is not None
    assert old.gauge_pa > fresh.gauge_pa
    assert old.outcome is not Outcome.PASS
    assert "level_is_old" in {reason.code for reason in old.reasons}
    pour(book, build, 72)
    full = book.work(Fills).headspace(book.build(build))
    assert full is not None
    assert full.gauge_pa is None
    assert full.outcome is Outcome.FAIL
    book.work(Fills).read_level(build, mm(150), celsius(21))
    again = book.work(Fills).headspace(book.build(build))
    assert again is not None
    assert "level_is_old" not in {reason.code for reason in again.reasons}


def test_a_reservoir_described_anew_does_not_strand_the_build() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 1000)
    book.work(Fills).describe_reservoir(build, TANK)
    book.work(Fills).read_level(build, mm(150), celsius(21))
    book.work(Fills).describe_reservoir(build, replace(TANK, height_m=0.1))  # the level of before is above this one
    state = book.build(build)
    assert book.work(Fills).headspace(state) is None
    assert book.work(Fills).verdict(state).expected_m3 == pytest.approx(1.2e-3)


def test_a_level_read_cold_does_not_strand_a_coolant_that_was_thinned_since() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 500, JUG)
    book.work(Fills).describe_reservoir(build, TANK)
    book.work(Fills).read_level(build, mm(150), celsius(-5))  # 30 % of propylene glycol freezes at -12.8 degC
    pour(book, build, 500)  # 15 % at -5.3 degC
    pour(book, build, 150)
    assert book.work(Fills).headspace(book.build(build)) is None


def test_a_hold_that_brought_its_own_volume_gives_it_to_the_fill_until_the_parts_are_known() -> None:
    """As a fed hold does: 1.2 L ± 0.06 L stated with it, no part on the list; 250 mL in leave 950 mL to go."""
    book, _, clock = new_book()
    book.name_operator("Kim")
    build = book.open_build("Blue Heron")
    start_hold(book, build, replace(PLAN, volume_basis="typed"))
    assert book.build(build).volume is None
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome == "pass"
    known = book.build(build).volume
    assert known is not None
    assert (known.volume_m3, known.u_volume_m3, known.basis) == (1.2e-3, 0.03e-3, "typed")
    book.work(Holds).let_down(build, gauge_reads(0.0))
    book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
    answer(book, build, book.work(Fills), When.BEFORE_POURING, When.BEFORE_PUMP)
    book.work(Fills).add_bottle(CAN)
    pour(book, build, 250.0)
    missing = book.work(Fills).verdict(book.build(build)).missing
    assert missing is not None
    assert missing.value / ML == pytest.approx(950, abs=2)
    book.work(Sheet).add_part(build, replace(RADIATOR, part_id=book.new_id(), volume_m3=0.9e-3))
    changed = book.build(build).volume
    assert changed is not None
    assert (changed.volume_m3, changed.basis) == (0.9e-3, "parts")
