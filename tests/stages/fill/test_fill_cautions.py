"""The cautions of a fill: few are asked, each other one stands on the card at its own moment, and none is lost."""

from commission.stages.fill.card.fill import FillFlow
from tests.answers import FILL, FILL_PUMP, OF_A_FILL
from tests.cautions_shown import MOST, gone_through
from tests.stages.fill.screen.coolant_bench import held

BOTTLE = ("propylene", "30 % by mass", "2 L", "name premix", "")
LINES = (*FILL, *BOTTLE, "", "1150 mL", "done", *FILL_PUMP, "done", "all dry", "end", "", "")
"""From the first caution over the laying out, a pour, the pump and the look at the joints to the verdict."""


def test_a_fill_asks_four_cautions_and_shows_each_other_at_its_moment_and_loses_none() -> None:
    book, _, clock, build = held()
    shown, rows = gone_through(FillFlow(book, build), LINES, clock)
    assert [len(row) for row in rows] == [MOST, 2, 1]
    assert set().union(*rows, *shown.values()) == OF_A_FILL
    laid_out, spill = {"absorbent", "no_food_vessels", "swallowed"}, {"spill_plug_first", "wet_plug"}
    at = ("line protect", "line first_fill", "line bursts", "line look", "really end", "after fill")
    assert [shown.get(key) for key in at] == [laid_out, spill, spill, {"wet_electronics"}, {"wet_electronics"}, set()]


def test_what_is_poured_before_the_paper_is_reported_is_warned_of_both() -> None:
    book, _, clock, build = held()
    shown, _ = gone_through(FillFlow(book, build), [*FILL, *BOTTLE, "250 mL"], clock)
    assert {"absorbent", "spill_plug_first"} <= shown["line protect"]
