"""A hold in one line: what is typed, what is assumed, and what is refused before anything is stored."""

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.record.machine.instrument import GaugeFace
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.card.plan import changed
from commission.stages.pressure_hold.card.quick import EVERYTHING, quick_start
from commission.stages.pressure_hold.entries import HoldPlan
from commission.stages.pressure_hold.rows.plan import ASSUMABLE, assumed_text, remarks
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.typed.reading import to_read
from commission.stages.pressure_hold.work.holds import Holds
from tests.answers import HOLD
from tests.fakes import new_book
from tests.ui.bench import led

NORTH = "North 1.2 L digital 1 mbar 0.4 bar max 0.8 bar"


def planned(text: str) -> HoldPlan:
    book, _, _ = new_book()
    plan = hold_of(book.build(quick_start(book, text).do())).plan
    assert plan is not None
    return plan


def test_one_line_opens_a_build_with_one_part_for_all_a_gauge_and_a_plan() -> None:
    book, _, _ = new_book()
    state = book.build(quick_start(book, NORTH).do())
    plan = hold_of(state).plan
    assert plan is not None
    assert state.name == "North"
    assert [(part.name, part.max_gauge_pa) for part in state.parts] == [(EVERYTHING, 80_000)]
    assert (plan.target_gauge_pa, plan.volume_m3, plan.gauge.resolution) == (40_000, 1.2e-3, 100)
    assert plan.u_volume_m3 == pytest.approx(0.15 * 1.2e-3)  # guessed: ± 30 % at 95 %, our choice
    assert (plan.thermometer, plan.barometer) == (None, None)


def test_its_time_is_the_one_that_decides() -> None:
    book, _, _ = new_book()
    state = book.build(quick_start(book, NORTH).do())
    plan = hold_of(state).plan
    assert plan is not None
    assert book.work(Holds).capability(state, plan).can_decide


def test_all_that_nobody_typed_is_stored_as_assumed_and_told() -> None:
    plan = planned(NORTH)
    assert plan.assumed == ASSUMABLE
    told = assumed_text(plan)
    for word in ("limit 0.01", "settle 10 min", "guessed", "± 10 mbar, 0 to 1000 mbar", "thermometer none", "room 1 K"):
        assert word in told
    assert assumed_text(replace(plan, assumed=())) == ""


def test_what_is_assumed_and_what_it_decides_stands_on_the_card_before_the_start() -> None:
    book, _, _ = new_book()
    flow = HoldFlow(book, quick_start(book, NORTH).do())
    led(flow, HOLD)
    content = flow.content()
    said = " ".join((*content.notices, *content.remarks))
    assert content.assumed.startswith("Assumed: limit")
    assert "A tight loop passes after about" in said
    assert "any leak at the limit is found after" in said


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("West 1.2 digital 1 mbar 0.4 bar max 0.8 bar", "^1.2 has no unit; .*such as 1.2 L"),
        ("West 1.2 L digital 1 mbar 0.4 bar max 0.3 bar", r"\(300 mbar\)\. Plan 300 mbar at the most"),
    ],
)
def test_what_is_wrong_with_a_line_is_named(line: str, why: str) -> None:
    book, _, _ = new_book()
    with pytest.raises((InputError, NotAllowed), match=why):
        quick_start(book, line)


def test_a_set_up_that_never_decides_is_told_before_it_is_stored() -> None:
    book, _, _ = new_book()
    told = quick_start(book, "West 20 L dial 200 mbar 0.2 bar max 1 bar").told
    assert "no hold within two days decides" in told


def test_what_is_changed_in_the_plan_is_assumed_no_longer() -> None:
    book, _, _ = new_book()
    state = book.build(quick_start(book, NORTH).do())
    plan = hold_of(state).plan
    assert plan is not None
    new = changed(plan, "volume 1.1 L data sheets", book.new_procedure.stage("pressure_hold"), book.shop(), None)
    assert new.assumed == tuple(word for word in ASSUMABLE if word != "volume")


def test_a_needle_counts_as_read_to_the_mark_and_untapped_unless_a_quarter_is_typed() -> None:
    mark, quarter = (planned(f"West 2 L dial 20 mbar{how} 0.4 bar max 1 bar").gauge for how in ("", " quarter"))
    assert (mark.face, mark.tapped, mark.division, mark.resolution) == (GaugeFace.DIAL, False, 2000, 2000)
    assert (quarter.division, quarter.resolution) == (2000, 500)


def test_figures_may_stand_in_the_name_without_blanks_and_in_any_order() -> None:
    book, _, _ = new_book()
    state = book.build(quick_start(book, "Case 2 1,2L max 12psi 40kPa digital 0.1mbar").do())
    plan = hold_of(state).plan
    assert plan is not None
    assert (state.name, plan.volume_m3, plan.target_gauge_pa, plan.gauge.resolution) == ("Case 2", 1.2e-3, 40_000, 10)


def test_the_gauge_is_described_once() -> None:
    book, _, _ = new_book()
    for name in ("North", "South"):
        quick_start(book, NORTH.replace("North", name)).do()
    assert len(book.shop().instruments) == 1


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "a name and the loop's volume come first"),
        ("1.2 L digital 1 mbar 0.4 bar max 0.8 bar", "a name and the loop's volume come first"),
        ("North 1.2 L 0.4 bar max 0.8 bar", "the gauge is missing"),
        ("North 1.2 L digital 1 mbar 0.4 bar", "the lowest rating of everything in the loop is missing"),
        ("North 1.2 L digital 1 mbar max 0.8 bar", "the test pressure is missing"),
        ("North 1.2 L digital 1 mbar 0.4 bar max 0 bar", "must be above 0"),
        ("North 1.2 L digital 0 mbar 0.4 bar max 1 bar", "must be above 0"),
        ("North 1.2 L digital 1 mbar 0.4 bar 0.5 bar max 1 bar", "more than one number"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_stored(text: str, why: str) -> None:
    book, _, _ = new_book()
    before = book.head().seq
    with pytest.raises(InputError, match=why):
        quick_start(book, text)
    assert book.head().seq == before


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("North 1.2 L digital 1 mbar 0.9 bar max 0.8 bar", "above the rating of the weakest part"),
        ("North 200 L digital 1 mbar 0.4 bar max 0.8 bar", "at most 100 L"),
    ],
)
def test_no_refusal_is_weaker_than_of_a_plan_made_by_questions(text: str, why: str) -> None:
    book, _, _ = new_book()
    before = book.head().seq
    with pytest.raises((NotAllowed, InputError), match=why):
        quick_start(book, text).do()
    assert book.head().seq == before


def test_a_name_that_is_taken_is_refused_before_anything_is_stored() -> None:
    book, _, _ = new_book()
    quick_start(book, NORTH).do()
    before = book.head().seq
    with pytest.raises(NotAllowed, match="already"):
        quick_start(book, NORTH).do()
    assert book.head().seq == before


def test_nothing_starts_by_itself_cautions_steps_and_the_source_are_asked() -> None:
    book, _, _ = new_book()
    build = quick_start(book, NORTH).do()
    with pytest.raises(NotAllowed, match="cautions"):
        book.work(Holds).start(build)


# --- how a needle is read --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gauge", "asked"),
    [
        ("digital 1 mbar", "Type what the instruments show: gauge."),
        ("dial 20 mbar", "Type gauge to the nearest mark (20 mbar)."),
        ("dial 20 mbar quarter", "Type gauge to a quarter of a division (5 mbar)."),
    ],
)
def test_a_reading_is_asked_as_finely_as_the_gauge_is_read(gauge: str, asked: str) -> None:
    assert to_read(planned(f"West 2 L {gauge} 0.4 bar max 1 bar")) == asked


def test_a_dial_that_is_tapped_is_tapped_before_each_reading_and_an_untapped_one_says_what_it_hides() -> None:
    book, _, _ = new_book()
    state = book.build(quick_start(book, "West 2 L dial 20 mbar quarter 0.4 bar max 1 bar").do())
    plan = hold_of(state).plan
    assert plan is not None
    able = book.work(Holds).capability(state, plan)
    assert "an untapped needle hides 20 mbar" in remarks(plan, able)["gauge"]
    tapped = replace(plan, gauge=replace(plan.gauge, tapped=True))
    assert to_read(tapped).startswith("Tap the gauge, then type gauge to a quarter")
    assert "needle tapped" in remarks(tapped, able)["gauge"]
