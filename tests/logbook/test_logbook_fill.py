"""The fill in the log: the order of things, bottles over builds, wrong pours, refusals that change nothing, staleness.

Outside: totals are added up by hand or by the plain balance of masses in this file; densities of water and of MPG 0.30
at 20 °C (998.207 and 1023.785 kg/m3) are CoolProp's. Status: computed.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from commission.bootstrap import open_logbook
from commission.domain.coolant import Base
from commission.domain.entries import CautionsPrinted
from commission.domain.errors import CommissionError, InputError, NotAllowed, UnknownName
from commission.domain.fill import Drain, Evaporation, Movement, Reservoir, Spill, SyringeOut
from commission.domain.quantity import Measured, Quantity
from commission.domain.state import BuildState
from commission.evaluate.fill_coolant import fold_movements
from commission.logbook.book import Logbook
from commission.logbook.ladder import StageWord
from commission.logbook.record import SHOP
from commission.procedure.model import When
from tests.fakes import HandClock, new_book
from tests.fills import ML, MYSTERY
from tests.holds import RADIATOR, ready_build, start_hold
from tests.wet_builds import (
    CAN,
    JUG,
    amount,
    answer,
    bleeding_build,
    cycle,
    filled_build,
    pour,
    poured,
    proved_build,
    run_cycle,
)

WATER_KG_M3 = 998.207
PREMIX_KG_M3 = 1023.785
TANK = Reservoir(bore_m=0.06, height_m=0.2)
TEMPERATURE, LENGTH = Quantity.TEMPERATURE, Quantity.LENGTH


def pouring_build(book: Logbook, clock: HandClock, name: str = "Blue Heron") -> str:
    build = proved_build(book, clock, name)
    answer(book, build, book.fill, When.BEFORE_POURING)
    return build


def filled_ml(book: Logbook, build: str) -> float:
    return book.fill.verdict(book.build(build)).filled_m3 / ML


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
        book.fill.move(build, poured(100))
    with pytest.raises(NotAllowed, match="locked"):
        book.fill.acknowledge(build, "mains_out", "read")
    with pytest.raises(NotAllowed, match="locked"):
        book.fill.close(build)


def test_nothing_is_poured_before_every_caution_was_answered() -> None:
    book, log, clock = new_book()
    build = proved_build(book, clock)
    cautions = book.fill.stage(book.build(build)).cautions_at(When.BEFORE_POURING)
    for caution in cautions:
        head = log.head()
        with pytest.raises(NotAllowed, match="not answered"):
            pour(book, build, 100)
        assert log.head() == head
        book.fill.acknowledge(build, caution.id, caution.text)
    pour(book, build, 100)
    assert filled_ml(book, build) == pytest.approx(100, abs=0.01)


def test_printed_cautions_count_and_the_record_says_that_they_were_only_printed() -> None:
    book, log, clock = new_book()
    build = proved_build(book, clock)
    book.fill.print_cautions(build, When.BEFORE_POURING)
    pour(book, build, 100)
    assert isinstance(log.stored[-2].payload, CautionsPrinted)
    assert book.build(build).run("fill").acknowledged == frozenset()


def test_each_attempt_asks_for_its_cautions_anew() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    with pytest.raises(NotAllowed, match="7 cautions are not answered"):
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
    book.fill.add_bottle(CAN)
    book.override(build, "pressure_hold", "held on the other bench")
    answer(book, build, book.fill, When.BEFORE_POURING)
    pour(book, build, 100)
    assert word_of(book, build, "pressure_hold") is StageWord.OVERRIDDEN


def test_a_procedure_without_a_fill_refuses_in_words() -> None:
    book, log, clock = new_book()
    book.open_build("new rig")
    toml = log.entries_of_kind("procedure adopted")[0].payload.toml  # type: ignore[union-attr]
    start, end = toml.index('[[stages]]\nid = "fill"'), toml.index("[[typical_parts]]")
    older = Logbook(log, clock, procedure_toml=toml[:start] + toml[end:], program="old")
    old_build = older.open_build("old rig")
    for work in (older.fill, older.bleed):
        with pytest.raises(NotAllowed, match=r'"old rig" was opened under has no stage (fill|bleed)'):
            work.unlocked(old_build)


def test_steps_are_done_in_order() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    with pytest.raises(NotAllowed, match="next is: protect"):
        book.fill.do_step(build, "look")
    book.fill.do_step(build, "protect")
    assert book.fill.missing_steps(book.build(build))[0] == "first_fill"


# --- bottles ---------------------------------------------------------------------------------------------------------


def test_a_bottle_is_shared_by_builds_and_what_left_it_is_counted_once() -> None:
    book, _, clock = new_book()
    first = pouring_build(book, clock)
    second = pouring_build(book, clock, "Shelf box")
    pour(book, first, 500)
    pour(book, second, 300)
    wrong = pour(book, second, 250)
    book.withdraw(wrong.seq, "typed twice")
    assert book.fill.remaining_m3(CAN) == pytest.approx((3000 - 500 - 300) * ML)
    assert book.fill.remaining_m3(JUG) == pytest.approx(3000 * ML)
    assert (filled_ml(book, first), filled_ml(book, second)) == pytest.approx((500, 300), abs=0.02)


def test_a_bleeds_top_ups_leave_the_bottle_as_well() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    run_cycle(book, clock, build, 40)
    gone = run_cycle(book, clock, build, 12)
    book.withdraw(gone.seq, "not this bottle")
    assert book.fill.remaining_m3(CAN) == pytest.approx((3000 - 1100 - 40) * ML)
    assert filled_ml(book, build) == pytest.approx(1140, abs=0.05)


def test_a_bottle_gives_no_more_than_it_held() -> None:
    book, log, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 2000)
    head = log.head()
    with pytest.raises(InputError, match="1000 mL left by the book, not 1100 mL"):
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
    book.fill.add_bottle(CAN)
    head = log.head()
    with pytest.raises(error):
        book.fill.add_bottle(replace(CAN, **({"name": "other", "bottle_id": "o"} | change)))  # type: ignore[arg-type]
    assert log.head() == head


def test_bottles_are_found_by_name_and_retired() -> None:
    book, _, _ = new_book()
    book.fill.add_bottle(CAN)
    assert book.fill.find_bottle(" Can ") == CAN
    book.fill.retire_bottle(CAN.bottle_id, "empty")
    with pytest.raises(UnknownName, match='there is no bottle "can"; there are: none yet'):
        book.fill.find_bottle("can")
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
    assert [moved.movement.dose.volume_m3 / ML for moved in state.moves] == pytest.approx([250, 250])
    assert wrong.seq in state.withdrawn
    assert filled_ml(book, build) == pytest.approx(500, abs=0.02)


def test_a_pour_withdrawn_after_the_verdict_takes_its_worth() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    first = pour(book, build, 600)
    pour(book, build, 500)
    assert book.fill.close(build).outcome == "pass"
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
    book.bleed.cycle(build, cycle(0))
    book.bleed.close(build)
    (entry,) = log.entries_of_kind(kind)
    with pytest.raises(NotAllowed, match="cannot be withdrawn"):
        book.withdraw(entry.seq, "I would rather not")


# --- refusals change nothing -----------------------------------------------------------------------------------------

REFUSED: list[tuple[str, Callable[[Logbook, str], object], str]] = [
    ("more out than in", lambda b, i: b.fill.move(i, Drain(dose=amount(700))), "more than the 500 mL in the loop"),
    ("spilled more than in", lambda b, i: b.fill.move(i, Spill(dose=amount(700))), "more than"),
    ("drawn more than in", lambda b, i: b.fill.move(i, SyringeOut(dose=amount(700))), "more than"),
    ("lost more than in", lambda b, i: b.fill.move(i, Evaporation(dose=amount(700))), "more than"),
    ("beyond the bottle", lambda b, i: b.fill.move(i, poured(3100)), "left by the book"),
    ("above the reservoir", lambda b, i: b.fill.read_level(i, mm(250), None), "outside the straight part"),
    ("below the reservoir", lambda b, i: b.fill.read_level(i, mm(-1), None), "outside the straight part"),
    ("frozen", lambda b, i: b.fill.read_level(i, mm(100), celsius(-5)), "below the freezing point"),
    ("boiling", lambda b, i: b.fill.read_level(i, mm(100), celsius(101)), "above 100"),
    ("no reservoir", lambda b, i: b.fill.describe_reservoir(i, replace(TANK, bore_m=0.0)), "above 0"),
    ("tube too thick", lambda b, i: b.fill.describe_reservoir(i, replace(TANK, insert_m=0.07)), "thinner"),
    ("step out of order", lambda b, i: b.fill.do_step(i, "look"), "not the next one"),
]


@pytest.mark.parametrize(("act", "said"), [case[1:] for case in REFUSED], ids=[case[0] for case in REFUSED])
def test_a_refusal_leaves_the_log_as_it_was(act: Callable[[Logbook, str], object], said: str) -> None:
    book, log, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 500)
    book.fill.describe_reservoir(build, TANK)
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
        book.fill.read_level(build, mm(100), None)
    with pytest.raises(NotAllowed, match="nothing was poured yet"):
        book.fill.liquid_in(book.build(build))
    with pytest.raises(NotAllowed, match="nothing was poured yet"):
        book.fill.close(build)
    assert log.head() == head


def test_the_same_amount_sent_twice_is_stored_once() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    for _ in range(2):
        book.fill.move(build, poured(250), uid="same press of Enter")
    assert len(book.build(build).moves) == 1


# --- levels and headspace --------------------------------------------------------------------------------------------


def test_the_level_takes_the_headspace_off_what_is_expected() -> None:
    # By hand: 1200 mL less 50 mm of π·0.06²/4 m2 = 141.37 mL: 1058.63 mL.
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 1000)
    assert book.fill.verdict(book.build(build)).expected_m3 == pytest.approx(1.2e-3)
    book.fill.describe_reservoir(build, TANK)
    book.fill.read_level(build, mm(150), celsius(21))
    assert book.fill.verdict(book.build(build)).expected_m3 == pytest.approx(1058.628e-6, abs=1e-9)
    report = book.fill.headspace(book.build(build))
    assert report is not None
    assert report.gauge_pa is not None


def test_a_reservoir_described_anew_does_not_strand_the_build() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 1000)
    book.fill.describe_reservoir(build, TANK)
    book.fill.read_level(build, mm(150), celsius(21))
    book.fill.describe_reservoir(build, replace(TANK, height_m=0.1))  # the level of before is above this one
    state = book.build(build)
    assert book.fill.headspace(state) is None
    assert book.fill.verdict(state).expected_m3 == pytest.approx(1.2e-3)


def test_a_level_read_cold_does_not_strand_a_coolant_that_was_thinned_since() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    pour(book, build, 500, JUG)
    book.fill.describe_reservoir(build, TANK)
    book.fill.read_level(build, mm(150), celsius(-5))  # 30 % of propylene glycol freezes at -12.8 degC
    pour(book, build, 500)  # 15 % at -5.3 degC
    pour(book, build, 150)
    assert book.fill.headspace(book.build(build)) is None


# --- staleness -------------------------------------------------------------------------------------------------------


def bled_build(book: Logbook, clock: HandClock) -> str:
    build = bleeding_build(book, clock)
    for _ in range(5):
        run_cycle(book, clock, build, 0)
    assert book.bleed.close(build).outcome == "pass"
    return build


def unworthy(state: BuildState) -> set[str]:
    """Return the stages whose last verdict went stale."""
    judged = {stage: state.judged(stage) for stage in ("pressure_hold", "fill", "bleed")}
    return {stage for stage, run in judged.items() if run is not None and run.stale_by is not None}


def move_at(stage: str, movement: Movement) -> Callable[[Logbook, str], object]:
    return lambda book, build: book.fill.move(build, movement, stage=stage)


EFFECTS: list[tuple[str, Callable[[Logbook, str], object], set[str]]] = [
    ("a note", lambda b, i: b.add_note(i, "quiet"), set()),
    ("a level", lambda b, i: b.fill.read_level(i, mm(100), None), set()),
    ("topped up with water", move_at("fill", poured(5)), {"bleed"}),
    ("drained later", move_at("service", Drain(dose=amount(50))), {"fill", "bleed"}),
    ("drawn off later", move_at("service", SyringeOut(dose=amount(5))), {"fill", "bleed"}),
    ("another coolant later", move_at("service", poured(5, replace(MYSTERY, size_m3=1e-3))), {"fill", "bleed"}),
    ("glycol on water later", move_at("service", poured(5, JUG)), {"bleed"}),
    ("water on top later", move_at("service", poured(5)), {"bleed"}),
    ("a part", lambda b, i: b.sheet.add_part(i, replace(RADIATOR, part_id="more")), {"pressure_hold", "fill", "bleed"}),
    ("a part gone", lambda b, i: b.sheet.remove_part(i, _part(b, i), "leaks"), {"pressure_hold", "fill", "bleed"}),
]


def _part(book: Logbook, build: str) -> str:
    return book.build(build).parts[0].part_id


@pytest.mark.parametrize(("act", "stale"), [case[1:] for case in EFFECTS], ids=[case[0] for case in EFFECTS])
def test_what_is_done_later_takes_the_worth_of_what_rested_on_it(
    act: Callable[[Logbook, str], object], stale: set[str]
) -> None:
    book, _, clock = new_book()
    build = bled_build(book, clock)
    book.fill.describe_reservoir(build, TANK)
    assert unworthy(book.build(build)) == set()
    answer(book, build, book.fill, When.BEFORE_POURING)
    act(book, build)
    assert unworthy(book.build(build)) == stale


def test_a_fill_judged_anew_asks_for_the_bleed_anew() -> None:
    book, _, clock = new_book()
    build = bled_build(book, clock)
    answer(book, build, book.fill, When.BEFORE_POURING)
    pour(book, build, 5)
    assert word_of(book, build, "fill") is StageWord.RUNNING
    assert word_of(book, build, "bleed") is StageWord.LOCKED
    assert book.fill.close(build).outcome == "pass"
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
    before, left = book.build(build), book.fill.remaining_m3(CAN)
    verdict = book.fill.verdict(before)
    book.close()

    again = open_logbook(path, clock=clock).book
    assert again.verify() == []
    assert again.build(build) == before
    assert again.fill.verdict(again.build(build)) == verdict
    assert again.fill.remaining_m3(CAN) == left
    again.fill.move(build, poured(400))
    # by hand: 400 mL of premix are 409.51 g, 700 mL of water 698.74 g: 122.85 g of glycol in 1108.26 g
    coolant = again.fill.verdict(again.build(build)).coolant
    assert coolant.total_kg == pytest.approx((400 * PREMIX_KG_M3 + 700 * WATER_KG_M3) * ML, rel=1e-5)
    assert coolant.mass_fraction == pytest.approx(0.30 * 0.409514 / 1.108259, rel=1e-5)
    assert again.fill.close(build).outcome == "pass"
    again.close()


# --- any row of movements against a plain balance --------------------------------------------------------------------


class Balance(RuleBasedStateMachine):
    """Moves coolant through the logbook and through a plain balance of two masses, and compares them."""

    def __init__(self) -> None:
        super().__init__()
        self.book, self.log, clock = new_book()
        self.build = pouring_build(self.book, clock)
        self.glycol_kg = 0.0
        self.total_kg = 0.0
        self.left_ml = {CAN.bottle_id: 3000.0, JUG.bottle_id: 3000.0}
        self.undo: tuple[int, float, float, str, float] | None = None

    @initialize(ml=st.floats(50, 400))
    def first(self, ml: float) -> None:
        self._pour(JUG, ml)

    @rule(ml=st.floats(1, 400))
    def premix(self, ml: float) -> None:
        self._pour(JUG, ml)

    @rule(ml=st.floats(1, 400))
    def water(self, ml: float) -> None:
        self._pour(CAN, ml)

    @rule(grams=st.floats(1, 300), way=st.sampled_from([Drain, Spill, SyringeOut]))
    def out(self, grams: float, way: type[Drain] | type[Spill] | type[SyringeOut]) -> None:
        movement = way(dose=amount(grams, u_ml=0.1, grams=grams))
        if not self._takes(movement, grams):
            return
        self._keep(movement)
        share = self.glycol_kg / self.total_kg
        self.total_kg -= grams / 1000
        self.glycol_kg = share * self.total_kg

    @rule(grams=st.floats(0.1, 20))
    def evaporate(self, grams: float) -> None:
        movement = Evaporation(dose=amount(grams, u_ml=0.1, grams=grams))
        if grams / 1000 > 0.5 * (self.total_kg - self.glycol_kg) or not self._takes(movement, grams):
            return
        self._keep(movement)
        self.total_kg -= grams / 1000

    @rule()
    def withdraw_the_last(self) -> None:
        if self.undo is None:
            return
        seq, self.glycol_kg, self.total_kg, bottle, ml = self.undo
        self.book.withdraw(seq, "wrong")
        if bottle:
            self.left_ml[bottle] += ml
        self.undo = None

    def _pour(self, bottle: object, ml: float) -> None:
        assert bottle in (CAN, JUG)
        one = JUG if bottle == JUG else CAN
        if ml > self.left_ml[one.bottle_id] * 1.02 + 2:
            self._refused(poured(ml, one))
            return
        before = (self.glycol_kg, self.total_kg)
        logged = self.book.fill.move(self.build, poured(ml, one))
        kg = ml * ML * (PREMIX_KG_M3 if one is JUG else WATER_KG_M3)
        self.total_kg += kg
        self.glycol_kg += 0.30 * kg if one is JUG else 0.0
        self.left_ml[one.bottle_id] -= ml
        self.undo = (logged.seq, *before, one.bottle_id, ml)

    def _takes(self, movement: Movement, grams: float) -> bool:
        """Return whether there is enough to take; where there clearly is not, see that it is refused."""
        if grams / 1000 > 1.3 * self.total_kg + 0.01:
            self._refused(movement)
        return grams / 1000 < 0.9 * self.total_kg

    def _keep(self, movement: Movement) -> None:
        before = (self.glycol_kg, self.total_kg)
        self.undo = (self.book.fill.move(self.build, movement).seq, *before, "", 0.0)

    def _refused(self, movement: Movement) -> None:
        head = self.log.head()
        with pytest.raises(CommissionError):
            self.book.fill.move(self.build, movement)
        assert self.log.head() == head

    @invariant()
    def the_books_agree(self) -> None:
        state = self.book.build(self.build)
        if self.total_kg < 1e-6 or not state.moves:
            return
        coolant = fold_movements(state.movements)[-1].coolant
        assert coolant.total_kg == pytest.approx(self.total_kg, rel=1e-5, abs=1e-6)
        assert coolant.glycol_kg == pytest.approx(self.glycol_kg, rel=1e-5, abs=1e-6)
        for bottle in (CAN, JUG):
            assert self.book.fill.remaining_m3(bottle) == pytest.approx(self.left_ml[bottle.bottle_id] * ML, abs=1e-9)


TestBalance = Balance.TestCase
TestBalance.settings = settings(
    max_examples=15, stateful_step_count=15, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
