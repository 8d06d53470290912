"""What is seen at a look on a visit: what is wet or left out is refused, and how far a level is down is asked for."""

import re

from commission.base.errors import InputError, NotAllowed
from commission.base.text import clip
from commission.record.build_state import BuildState
from commission.record.machine.dryness import refuse_wet, wet_in
from commission.stages.handover.entries import ServiceDone
from commission.stages.handover.model import ServiceItem
from commission.stages.handover.state import HandoverState

_FELL = (
    r"(?:down|low|lower|fell|fallen|falls|drop|drops|dropped|sank|sunk|empty|short"
    r"|(?:below|under) (?:the )?(?:mark|min))"
)
_DOWN = re.compile(
    rf"\b(?:level|coolant|reservoir)\b(?:[^;,]|,\d)*?\b({_FELL})\b"
    rf"|\b({_FELL}) (?:in |of )?(?:the )?(?:level|coolant)\b",
    re.IGNORECASE,
)
"""What people say of a level that is not at its mark; our choice of words."""
_DENIED = re.compile(r"\b(?:no|not|never|nothing|isn't|without)\s+(?:\w+\s+)?$", re.IGNORECASE)
_HOW_FAR = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*(?:mm|cm|in|inch|inches|ml)\b", re.IGNORECASE)


def level_down(note: str) -> bool:
    """Return whether what was seen says that the level is below its mark.

    >>> level_down("all dry, level 4 mm down"), level_down("level at the mark"), level_down("level has not dropped")
    (True, False, False)
    """
    found = _DOWN.search(note)
    if found is None:
        return False
    how_far = [float(one.replace(",", ".")) for one in _HOW_FAR.findall(note)]
    at = found.start(1) if found[1] else found.start(2)
    return not _DENIED.search(note[:at]) and (not how_far or max(how_far) > 0)


def refuse_look(state: BuildState, note: str) -> None:
    """Raise where what a look saw is a leak, leaves a joint out, or does not say how far the level is down.

    Raises
    ------
    NotAllowed
        If not all is dry.
    InputError
        If the level is down by nobody knows how much, and nothing was topped up on this visit.
    """
    if wet := wet_in(note):
        raise NotAllowed(f"{clip(wet)} at a joint is a leak: type leak, or run commission defect")
    refuse_wet(note)
    if level_down(note) and not _HOW_FAR.search(note) and not topped_on_visit(state):
        raise InputError(
            "how far is the level down? type it in mm, such as level 4 mm down, or first top-up and how much"
        )


def topped_on_visit(state: BuildState) -> bool:
    """Return whether a top-up that counts was recorded since the last visit began."""
    kept = state.of(HandoverState)
    return any(one.seq > kept.visit_seq for one in kept.topped)


def seen_low(state: BuildState) -> str:
    """Return what was seen of a level that was down on the last visit and stays so; empty where it is not so."""
    kept = state.of(HandoverState)
    looks = [
        one.payload.note
        for one in kept.done
        if one.seq > kept.visit_seq and isinstance(one.payload, ServiceDone) and one.payload.item is ServiceItem.LOOK
    ]
    low = bool(looks) and level_down(looks[-1]) and not topped_on_visit(state)
    return looks[-1] if low else ""
