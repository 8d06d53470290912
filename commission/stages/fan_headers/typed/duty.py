"""What leaving a chain at a duty does, from a typed line."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.bench.deed import Deed
from commission.stages.fan_headers.at_hand import View
from commission.units.number import parted
from commission.units.power_numbers import duty, rpm
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.fan_headers.at_hand import HeadersAtHand


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
    hand.work.refuse_duty(hand.state, chain.chain_id, duty_pct, speed)
    told = f"{chain.name} is left at {duty_pct:g} %"
    told += f", {speed:g} rpm" if speed is not None else ", speed not read: then no estimate of its sound"
    against = hand.work.objection(hand.state, chain.chain_id, duty_pct, speed)
    if against is not None:
        ending = "No pass while it stays so: add override and the reason, or sweep it"
        if not against.may_be:
            ending = "No pass while it stays so: sweep it again, or correct the speed"
        elif reason:
            ending = f"Let be: {reason}"
        told += f": {say(against.phrase).removeprefix(f'{chain.name} is left at {duty_pct:g} %').lstrip(' ,')} {ending}"

    def do() -> str:
        kept = reason if against is not None else ""
        hand.work.note_duty(hand.build_id, chain.chain_id, duty_pct, speed, reason=kept)
        hand.view = View.DUTIES
        return told

    return Deed(told=told, do=do)


def _with_reason(rest: str) -> tuple[str, str]:
    """Part figures from the reason after the word override."""
    figures, word, reason = rest.partition("override")
    if word and not reason.strip():
        raise InputError("type the reason after override; it stands in every report")
    return figures, reason.strip()
