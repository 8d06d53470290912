"""How the source of pressure is kept from feeding the loop: answered before the clock can start."""

from typing import TYPE_CHECKING

from commission.bench.ask import one_of
from commission.bench.deed import Deed
from commission.stages.pressure_hold.entries import SourceOff

if TYPE_CHECKING:
    from commission.stages.pressure_hold.lines.at_hand import HoldAtHand

_NAMES = {str(how): str(how) for how in SourceOff}
HINT = " · ".join(f"{number} {how}" for number, how in enumerate(SourceOff, 1))
"""The answers, with their numbers."""


def source_of(text: str) -> SourceOff:
    """Return what was answered.

    Raises
    ------
    InputError
        If it is none of the answers.

    Examples
    --------
    >>> source_of("2"), source_of("hose")
    (<SourceOff.VENTED: 'valve shut, line vented'>, <SourceOff.HOSE_OFF: 'hose off'>)
    """
    return SourceOff(one_of(text, _NAMES, "answer"))


def told(how: SourceOff) -> str:
    """Return an answer with what follows from it."""
    if how is SourceOff.VALVE_ONLY:
        return "valve only: no PASS, for a valve that seeps in hides a leak"
    return str(how)


def source_deed(hand: "HoldAtHand", text: str, *, lead: str = "") -> Deed:
    """Return what an answer does; ``lead`` stands before it where the line itself said what it is about."""
    how = source_of(text)

    def do() -> str:
        hand.work.isolate(hand.build_id, how)
        return f"source: {told(how)}"

    return Deed(told=f"{lead}{told(how)}", do=do)
