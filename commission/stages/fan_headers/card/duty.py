"""The duties that chains were left at, and what that does to their sound: an estimate, marked as one."""

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.bench.card import CardContent, Figure
from commission.bench.deed import Deed
from commission.stages.fan_headers.card.base import View
from commission.units.number import parted
from commission.units.power_numbers import duty, rpm
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.fan_headers.card.base import HeadersAtHand
    from commission.stages.fan_headers.model.duties import SoundEstimate


def leave_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what writing down the duty does that a chain was left at.

    Raises
    ------
    InputError
        If it is not clear which chain or duty, or a pump may not be left there.
    NotAllowed
        If the stage is locked.
    """
    chain, rest = hand.chain_named(text)
    figures, reason = _with_reason(rest)
    words = [word for word in parted(figures) if word.casefold() not in ("%", "at", "rpm")]
    if not 1 <= len(words) <= 2:
        raise InputError(f"type the duty, and the speed where it is shown: leave {chain.name} 45 640")
    duty_pct, speed = duty(words[0]), rpm(words[1]) if len(words) > 1 else None
    hand.refuse_locked()
    hand.book.headers.refuse_duty(hand.state, chain.chain_id, duty_pct, speed)
    told = f"{chain.name} is left at {duty_pct:g} %"
    told += f", {speed:g} rpm" if speed is not None else ", speed not read: then no estimate of its sound"
    against = hand.book.headers.duty_objection(hand.state, chain.chain_id, duty_pct)
    if against is not None:
        ending = (
            f"Let be: {reason}" if reason else "No pass while it stays so: add override and the reason, or sweep it"
        )
        told += f". {say(against)} {ending}"

    def do() -> str:
        kept = reason if against is not None else ""
        hand.book.headers.note_duty(hand.build_id, chain.chain_id, duty_pct, speed, reason=kept)
        hand.view = View.DUTIES
        return told

    return Deed(told=told, do=do)


def _with_reason(rest: str) -> tuple[str, str]:
    """Part figures from the reason after the word override."""
    figures, word, reason = rest.partition("override")
    if word and not reason.strip():
        raise InputError("type the reason after override; it stands in every report")
    return figures, reason.strip()


def duties_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what asking for the duties does: nothing but to show them.

    Raises
    ------
    InputError
        If something follows.
    """
    if text:
        raise InputError("type duties alone to see them, or leave, the chain, its duty and speed")

    def do() -> str:
        hand.view = View.DUTIES
        return ""

    return Deed(told="show the duties that chains were left at", do=do)


def duties_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with the duties and the estimate of their sound."""
    plan = hand.book.headers.duty_plan(hand.state)
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
