"""The duties that chains were left at, and what that does to their sound: an estimate, marked as one."""

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.bench.card import CardContent
from commission.stages.fan_headers.rows.duties import duty_rows
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.fan_headers.at_hand import HeadersAtHand


def duties_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with the duties and the estimate of their sound."""
    plan = hand.work.duty_plan(hand.state)
    rows = duty_rows(plan)
    return replace(
        card,
        step="duties",
        figures=rows,
        notices=tuple(f"Warning: {say(phrase)}" for phrase in plan.warnings),
        reasons=tuple(say(phrase) for phrase in plan.notes) if rows else ("No duty is written down yet.",),
    )
