"""What a line pours up to the mark, after a soak or on a visit."""

import re
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.bench.ask import one_of
from commission.stages.fill.model.fill import Pour
from commission.stages.fill.typed.amount import read_amount
from commission.stages.fill.typed.moves import dose_text, movement_of

if TYPE_CHECKING:
    from commission.stages.fill.at_hand import CoolantAtHand
    from commission.stages.fill.model.coolant import Bottle

TOP_UP = "top-up 12 mL"
AS_TYPED = re.compile(r"(?:top|topped)[\s-]?up\b", re.IGNORECASE)
"""The word as people type it."""
_FROM = re.compile(r"^(.*?)\s+from\s+([^#]+?)\s*(#.*)?$", re.IGNORECASE)


def read_top_up(hand: "CoolantAtHand", text: str) -> tuple[Pour, str]:
    """Return what a line such as ``12 mL from clear premix`` pours, and the line as understood.

    Raises
    ------
    InputError
        If the amount or the bottle cannot be understood, or the bottle cannot have held that much.
    """
    from commission.stages.fill.judge.dose import check_against_bottle

    found = _FROM.match(text.strip())
    body = text if found is None else f"{found[1]} {found[3] or ''}"
    bottle = _bottle(hand, "" if found is None else found[2])
    amount = read_amount(body, degrees=hand.degrees)
    at_k, at = hand.temperature(amount.at)
    pour = movement_of(hand, "pour", amount, at_k, bottle=bottle, note=amount.note)
    assert isinstance(pour, Pour)  # a bottle was given
    check_against_bottle(pour.dose, hand.left_m3(bottle))
    return pour, f"topped up to the mark, {bottle.name}: {dose_text(pour.dose)} at {at}"


def _bottle(hand: "CoolantAtHand", name: str) -> "Bottle":
    bottles = {one.bottle_id: one for one in hand.bottles}
    if name:
        return bottles[one_of(name, {key: one.name for key, one in bottles.items()}, "bottle")]
    if hand.bottle is None:
        raise InputError(f"which bottle? type it behind: {TOP_UP} from and its name")
    return hand.bottle
