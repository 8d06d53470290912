"""What takes the worth of a fill and a bleed that were judged, and a fill that is broken off in the middle.

Outside: totals by hand with CoolProp's densities at 20 °C (water 998.207, MPG 0.30 1023.785 kg/m3). Status: computed.
"""

from collections.abc import Callable
from pathlib import Path

import pytest

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.fold import BuildState
from commission.record.ladder import StageWord
from commission.record.locks import counts
from commission.record.logbook import Logbook
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.stages.bleed.work import Bleeds
from commission.stages.build_sheet.work import Sheet
from commission.stages.fill.card.fill import FillFlow
from commission.stages.fill.model.fill import Drain, Evaporation, Movement, Reservoir, Spill, SyringeOut
from commission.stages.fill.work.fills import Fills
from tests.fakes import HandClock, new_book
from tests.fills import ML, MYSTERY
from tests.holds import RADIATOR, start_hold
from tests.registered import open_logbook
from tests.wet_builds import (
    CAN,
    JUG,
    amount,
    answer,
    bleeding_build,
    end_fill,
    filled_build,
    pour,
    poured,
    pouring_build,
    run_cycle,
)

WATER_KG_M3 = 998.207
PREMIX_KG_M3 = 1023.785
TANK = Reservoir(bore_m=0.06, height_m=0.2)
TEMPERATURE, LENGTH = Quantity.TEMPERATURE, Quantity.LENGTH


def word_of(book: Logbook, build: str, stage: str) -> StageWord:
    return next(rung.word for rung in book.ladder(book.build(build)) if rung.stage.id == stage)


def mm(height: float) -> Measured:
    return Measured(quantity=LENGTH, si=height / 1000, typed=f"{height:g} mm")


def celsius(value: float) -> Measured:
    return Measured(quantity=TEMPERATURE, si=value + 273.15, typed=f"{value:g} degC")


# --- beside the filler ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("ml", "worth"), [(5, True), (200, True), (250, False)])
def test_what_was_spilled_beside_takes_a_fill_only_where_too_little_may_be_in(ml: float, worth: bool) -> None:
    # By hand: 1100 of 1200 mL, and 1.64 * 30 mL of doubt: up to 149 mL were missing, and 0.30 * 1200 = 360 mL may be.
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    if ml <= 20:  # more is an event
        book.work(Fills).move(build, Spill(dose=amount(ml), bottle=CAN), stage="bleed")
        assert counts(book.build(build), "fill") is worth
    wrong = {"where": "bench", "seen": "ran down", "from_bottle": True}
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    amount_typed = Measured(quantity=Quantity.VOLUME, si=ml * ML, typed=f"{ml:g} mL")
    book.work(Mishaps).note(build, Mishap.SPILL, amount=amount_typed, **wrong)  # type: ignore[arg-type]
    assert counts(book.build(build), "fill") is worth


def test_after_a_leak_coolant_may_come_out_of_a_locked_loop_and_none_goes_in() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    book.work(Mishaps).note(build, Mishap.LEAK, where="block inlet", seen="a drop a minute")
    assert word_of(book, build, "fill") is StageWord.LOCKED
    book.work(Fills).move(build, Drain(dose=amount(590)))
    flow = FillFlow(book, build)
    flow.hand.again = True
    question = flow.question()
    assert question is not None
    question.deed("drain 100 mL").do()
    # By hand: 1100 - 590 - 100 mL are left.
    assert book.work(Fills).verdict(book.build(build)).filled_m3 == pytest.approx(410 * ML, abs=0.5 * ML)
    with pytest.raises(NotAllowed, match="Fill is locked"):
        pour(book, build, 10)


def test_what_was_topped_up_makes_up_for_what_was_spilled_beside() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    run_cycle(book, clock, build, 50)
    gone = Measured(quantity=Quantity.VOLUME, si=250 * ML, typed="250 mL")  # 149 + 250 - 50 mL
    book.work(Mishaps).note(build, Mishap.SPILL, where="bench", seen="ran down", from_bottle=True, amount=gone)
    assert counts(book.build(build), "fill")


# --- an unknown amount ---------------------------------------------------------------------------------------------


def _tipped(book: Logbook, clock: HandClock) -> str:
    build = filled_build(book, clock)
    book.work(Mishaps).note(build, Mishap.SPILL, where="filler", seen="a lot ran out")
    answer(book, build, book.work(Fills), When.BEFORE_POURING, When.BEFORE_PUMP)
    return build


def test_a_fill_of_which_an_unknown_amount_ran_out_is_no_pass_and_bears_no_pump() -> None:
    book, _, clock = new_book()
    build = _tipped(book, clock)
    verdict = end_fill(book, build)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "amount_unknown")
    book.override(build, "bleed", "I know what I do")
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    with pytest.raises(NotAllowed, match="could run dry"):
        book.work(Bleeds).start(build)


def test_a_level_or_an_estimate_says_how_much_ran_out() -> None:
    # By hand: 1100 of 1200 ± 30 mL, and 50 mL gone: 150 mL are missing, 360 mL may be.
    book, _, clock = new_book()
    build = _tipped(book, clock)
    book.work(Fills).move(build, Spill(dose=amount(50)))
    assert end_fill(book, build).outcome is Outcome.PASS
    book, _, clock = new_book()
    build = _tipped(book, clock)
    book.work(Fills).describe_reservoir(build, TANK)
    book.work(Fills).read_level(build, mm(190), None)
    assert end_fill(book, build).outcome is Outcome.PASS


def test_a_repair_after_a_spill_of_a_known_amount_makes_no_unknown_one() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    five = Measured(quantity=Quantity.VOLUME, si=5 * ML, typed="5 mL")
    book.work(Mishaps).note(build, Mishap.SPILL, where="board", seen="drops", on_electronics=True, amount=five)
    book.work(Mishaps).repaired(build, book.build(build).open_findings[0].raised.finding_id, "dried")
    assert book.work(Fills).verdict(book.build(build)).outcome is Outcome.PASS


# --- staleness -------------------------------------------------------------------------------------------------------


def bled_build(book: Logbook, clock: HandClock) -> str:
    build = bleeding_build(book, clock)
    for _ in range(5):
        run_cycle(book, clock, build, 0)
    assert book.work(Bleeds).close(build).outcome == "pass"
    return build


def unworthy(state: BuildState) -> set[str]:
    """Return the stages whose last verdict went stale."""
    judged = {stage: state.judged_run(stage) for stage in ("pressure_hold", "fill", "bleed")}
    return {stage for stage, run in judged.items() if run is not None and run.stale_by is not None}


def move_at(stage: str, movement: Movement) -> Callable[[Logbook, str], object]:
    return lambda book, build: book.work(Fills).move(build, movement, stage=stage)


EFFECTS: list[tuple[str, Callable[[Logbook, str], object], set[str]]] = [
    ("a note", lambda b, i: b.add_note(i, "quiet"), set()),
    ("a level", lambda b, i: b.work(Fills).read_level(i, mm(180), None), set()),
    ("topped up with water", move_at("fill", poured(5)), {"bleed"}),
    ("drained later", move_at("service", Drain(dose=amount(50))), {"fill", "bleed"}),
    ("drawn off later", move_at("service", SyringeOut(dose=amount(5))), {"fill", "bleed"}),
    ("another coolant later", move_at("service", poured(5, replace(MYSTERY, size_m3=1e-3))), {"fill", "bleed"}),
    ("glycol on water later", move_at("service", poured(5, JUG)), {"bleed"}),
    ("water on top later", move_at("service", poured(5)), {"bleed"}),
    (
        "a part",
        lambda b, i: b.work(Sheet).add_part(i, replace(RADIATOR, part_id="more")),
        {"pressure_hold", "fill", "bleed"},
    ),
    (
        "a part gone",
        lambda b, i: b.work(Sheet).remove_part(i, _part(b, i), "leaks"),
        {"pressure_hold", "fill", "bleed"},
    ),
]


def _part(book: Logbook, build: str) -> str:
    return book.build(build).parts[0].part_id


@pytest.mark.parametrize(("act", "stale"), [case[1:] for case in EFFECTS], ids=[case[0] for case in EFFECTS])
def test_what_is_done_later_takes_the_worth_of_what_rested_on_it(
    act: Callable[[Logbook, str], object], stale: set[str]
) -> None:
    book, _, clock = new_book()
    build = bled_build(book, clock)
    book.work(Fills).describe_reservoir(build, TANK)
    assert unworthy(book.build(build)) == set()
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    act(book, build)
    assert unworthy(book.build(build)) == stale


def test_a_fill_judged_anew_asks_for_the_bleed_anew() -> None:
    book, _, clock = new_book()
    build = bled_build(book, clock)
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    pour(book, build, 5)
    assert word_of(book, build, "fill") is StageWord.RUNNING
    assert word_of(book, build, "bleed") is StageWord.LOCKED
    assert end_fill(book, build).outcome == "pass"
    assert word_of(book, build, "fill") is StageWord.PASSED
    assert word_of(book, build, "bleed") is StageWord.STALE


# --- the window is closed in the middle ------------------------------------------------------------------------------


def test_a_fill_that_is_broken_off_goes_on_where_it_was(tmp_path: Path) -> None:
    path = tmp_path / "bench.logbook"
    clock = HandClock()
    book = open_logbook(path, clock=clock).book
    build = pouring_build(book, clock)
    pour(book, build, 400, JUG)
    pour(book, build, 300)
    before, left = book.build(build), book.work(Fills).remaining_m3(CAN)
    verdict = book.work(Fills).verdict(before)
    book.close()

    again = open_logbook(path, clock=clock).book
    assert again.verify() == []
    assert again.build(build) == before
    assert again.work(Fills).verdict(again.build(build)) == verdict
    assert again.work(Fills).remaining_m3(CAN) == left
    again.work(Fills).move(build, poured(400))
    # by hand: 400 mL of premix are 409.51 g, 700 mL of water 698.74 g: 122.85 g of glycol in 1108.26 g
    coolant = again.work(Fills).verdict(again.build(build)).coolant
    assert coolant.total_kg == pytest.approx((400 * PREMIX_KG_M3 + 700 * WATER_KG_M3) * ML, rel=1e-5)
    assert coolant.mass_fraction == pytest.approx(0.30 * 0.409514 / 1.108259, rel=1e-5)
    assert end_fill(again, build).outcome == "pass"
    again.close()


def test_a_fill_that_goes_on_while_its_loop_is_held_on_air_begins_at_its_first_step() -> None:
    """Drained, dried and held again: the paper lies new and the plug is out before coolant comes near it again."""
    book, _, clock = new_book()
    build, fills = pouring_build(book, clock), book.work(Fills)
    fills.do_step(build, "protect")
    pour(book, build, 500)
    fills.do_step(build, "first_fill")
    first = fills.stage(book.build(build)).steps[0].id
    assert fills.missing_steps(book.build(build))[0] != first
    start_hold(book, build)
    state = book.build(build)
    assert fills.missing_steps(state)[0] == first == "protect"
    assert len(fills.missing_cautions(state, When.BEFORE_POURING)) == len(fills.cautions(state, When.BEFORE_POURING))
    assert not state.run("fill").running
    assert state.run("fill").attempt == 1


# --- losses that are made up -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("days", "movement", "refused"),
    [
        (0, Evaporation(dose=amount(5)), ""),
        (0, Evaporation(dose=amount(6)), "more can have evaporated"),
        (30, Evaporation(dose=amount(9.9)), ""),  # 5 mL, and 30 · 86400 s · 1.9e-12 m3/s = 4.9 mL
        (30, Evaporation(dose=amount(10)), "more can have evaporated"),
        (0, Spill(dose=amount(20)), ""),
        (0, Spill(dose=amount(21)), "is an event"),
        (0, Spill(dose=amount(21), bottle=CAN), "is an event"),
    ],
)
def test_a_loss_is_no_more_than_evaporates_and_a_larger_spill_is_an_event(
    days: int, movement: Evaporation | Spill, refused: str
) -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    clock.run(days * 86_400)
    if refused:
        with pytest.raises(NotAllowed, match=refused):
            book.work(Fills).check(build, movement)
        return
    book.work(Fills).move(build, movement, stage="bleed")
    with pytest.raises(NotAllowed, match="evaporated by now"):  # told once, it is used up
        book.work(Fills).check(build, Evaporation(dose=amount(9.9)))


def test_a_fill_that_failed_wants_its_look_again() -> None:
    """1400 mL in a loop of 1200 ± 30 mL: 200 mL more than fit, 1.64 times 30 mL are 49."""
    book, _, clock = new_book()
    build = filled_build(book, clock, 1400)
    fills = book.work(Fills)
    assert book.build(build).judged_run("fill").outcome is Outcome.FAIL  # type: ignore[union-attr]
    fills.move(build, Drain(dose=amount(300)))
    assert fills.missing_steps(book.build(build))[0] == "look"
    answer(book, build, fills, When.BEFORE_POURING)
    verdict = fills.close(build)
    assert (verdict.outcome, verdict.reasons[0].template.split(": ")[1][:5]) == (Outcome.INCONCLUSIVE, "look.")
    answer(book, build, fills, When.BEFORE_POURING)
    fills.do_step(build, "look")
    assert fills.close(build).outcome is Outcome.PASS
