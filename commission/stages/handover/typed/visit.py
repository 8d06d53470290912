"""What a line on a visit means: a top-up, something let out, a part that was changed."""

import re
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.bench.ask import one_of
from commission.record.part_changed import PartOf
from commission.stages.fill.model.fill import Drain
from commission.stages.fill.typed.amount import read_amount
from commission.stages.fill.typed.moves import dose_text, movement_of

if TYPE_CHECKING:
    from commission.record.build_state import BuildState
    from commission.stages.fill.at_hand import CoolantAtHand

CHANGED = "changed CPU block: worn seal"
_WHY = re.compile(r"\s*[:;,]\s*")
_HEAT = ("paste", "pad", "pads")
_SUPPLY = ("supply", "cable", "cables", "psu", "board", "motherboard", "mainboard")
_OTHER = ("other",)


class Changed(Frozen):
    """A changed part as it was typed."""

    of: PartOf
    """What it belongs to."""
    name: str
    """What it is called."""
    target_id: str
    """Id of the part or chain; empty where it is neither."""
    why: str
    """Why."""


def read_drained(hand: "CoolantAtHand", text: str) -> tuple[Drain, str]:
    """Return what a line such as ``850 mL`` lets out, and the line as understood.

    Raises
    ------
    InputError
        If the amount cannot be understood.
    """
    amount = read_amount(text, degrees=hand.degrees)
    if len(amount.values) > 1:
        raise InputError("type one amount behind drained, such as drained 850 mL")
    at_k, at = hand.temperature(amount.at)
    drain = movement_of(hand, "drain", amount, at_k, bottle=None, note=amount.note)
    assert isinstance(drain, Drain)  # the word says so
    return drain, f"{dose_text(drain.dose)} let out at {at}; the fill is then done again"


def read_changed(state: "BuildState", text: str) -> Changed:
    """Return the part that a line such as ``CPU block: worn seal`` means.

    Parameters
    ----------
    state
        The build: its parts list and its chains.
    text
        Name and reason. ``paste``, ``supply`` and ``other`` before the reason stand for what is on no list.

    Raises
    ------
    InputError
        If no reason is typed, or the name fits no part or several.
    """
    name, *rest = _WHY.split(text.strip(), maxsplit=1)
    if not name or not rest or not rest[0]:
        raise InputError(f"type the part, a colon and why, such as {CHANGED}")
    first = name.casefold().split()[0]
    for words, of in ((_HEAT, PartOf.HEAT_PATH), (_SUPPLY, PartOf.SUPPLY), (_OTHER, PartOf.OTHER)):
        if first in words:
            shown = name if of is not PartOf.OTHER else name[len(first) :].strip() or name
            return Changed(of=of, name=shown, target_id="", why=rest[0])
    known = _known(state)
    found = one_of(name, {key: called for key, (called, _) in known.items()}, "part or fan chain of this build")
    called, of = known[found]
    return Changed(of=of, name=called, target_id=found, why=rest[0])


def _known(state: "BuildState") -> dict[str, tuple[str, PartOf]]:
    """Return parts and fan chains by id; a pump that stands on both lists is the part: coolant runs through it."""
    parts = {part.part_id: (part.name, PartOf.LOOP) for part in state.parts}
    chains = {one.chain_id: (one.name, PartOf.FANS) for one in state.plugged.chains if not one.pump}
    if not parts and not chains:
        raise InputError("no part of this build is known; type other, its name, a colon and why")
    return {**chains, **parts}
