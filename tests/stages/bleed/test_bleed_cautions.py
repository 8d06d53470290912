"""The cautions of a bleed: few are asked, each other one stands on the card at its own moment, and none is lost."""

from commission.stages.bleed.card.bleed import BleedFlow
from tests.answers import BLEED
from tests.cautions_shown import gone_through
from tests.stages.fill.screen.coolant_bench import filled

OF_A_BLEED = {"inlet_covered", "pump_on_its_own_supply", "stay_with_it", "lift_with_care", "never_squeeze_hard"}
"""As many as when all were asked before the pump ran; the pump has a supply of its own."""


def test_a_bleed_asks_two_cautions_and_shows_each_other_at_its_moment_and_loses_none() -> None:
    book, _, clock, build = filled()
    shown, rows = gone_through(BleedFlow(book, build), [*BLEED, "covered", "squeeze"], clock)
    assert rows == [{"inlet_covered", "pump_on_its_own_supply"}]
    assert set().union(*rows, *shown.values()) == OF_A_BLEED
    assert shown["begin"] == shown["cycle"] == {"stay_with_it", "lift_with_care"}
    assert [ids for key, ids in shown.items() if key.startswith("squeeze")] == [{"never_squeeze_hard"}]
