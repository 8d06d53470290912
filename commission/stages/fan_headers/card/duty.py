"""The duties that chains were left at, and what that does to their sound: an estimate, marked as one."""

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.bench.card import CardContent, Figure
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.fan_headers.lines.at_hand import HeadersAtHand
    from commission.stages.fan_headers.model.duties import SoundEstimate


def duties_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with the duties and the estimate of their sound."""
    plan = hand.work.duty_plan(hand.state)
    sound = {one.chain: one for one in plan.sound}
    rows = []
    for left in plan.left:
        at = "" if left.rpm is None else f"{left.rpm:g} rpm"
        zone = f"zone {left.zone}; " if left.zone else ""
        estimate = sound.get(left.chain)
        told = _estimate(estimate) if estimate is not None else "no estimate: speeds at both duties are needed"
        rows.append(Figure(label=left.chain, value=f"{left.duty_pct:g} %", bounds=at, remark=f"{zone}{told}"))
    if plan.total_db is not None:
        rows.append(Figure(label="all together", value=f"{plan.total_db:.0f} dB", bounds="ESTIMATE"))
    return replace(
        card,
        step="duties",
        figures=tuple(rows),
        notices=tuple(f"Warning: {say(phrase)}" for phrase in plan.warnings),
        reasons=tuple(say(phrase) for phrase in plan.notes) if rows else ("No duty is written down yet.",),
    )


def _estimate(one: "SoundEstimate") -> str:
    near, far = (f"{abs(db):.0f}" for db in (one.change_db, one.change_high_db))
    way = "quieter" if one.change_db <= 0 else "louder"
    change = f"{near} dB" if near == far else f"{near} to {far} dB"
    level = f", {one.level_db:.0f} dB together" if one.level_db is not None else ""
    return f"ESTIMATE: {change} {way} than at full speed{level}, {100 * one.flow_share:.0f} % of the flow"
