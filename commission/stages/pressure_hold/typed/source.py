"""How the rig is joined, and how the source is kept from feeding the loop: answered before the clock can start."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.bench.ask import one_of
from commission.bench.deed import Deed, said
from commission.stages.pressure_hold.entries import Rig, SourceOff
from commission.stages.pressure_hold.work.rig import describe_rig

if TYPE_CHECKING:
    from commission.stages.pressure_hold.at_hand import HoldAtHand

ANSWERS = {
    Rig.VALVED: (SourceOff.HOSE_OFF, SourceOff.VENTED, SourceOff.VALVE_ONLY),
    Rig.OWN_GAUGE: (SourceOff.PUMP_LEFT,),
}
"""What may be answered of a rig."""
LIVE = "a line, bottle or compressor"
"""What must not stand behind a pump without a valve."""


def hint(rig: Rig) -> str:
    """Return the answers, with their numbers.

    >>> hint(Rig.OWN_GAUGE)
    '1 hand pump left on · 2 a line, bottle or compressor'
    """
    answers = [*map(str, ANSWERS[rig]), *((LIVE,) if rig is Rig.OWN_GAUGE else ())]
    return " · ".join(f"{number} {how}" for number, how in enumerate(answers, 1))


def source_of(text: str, rig: Rig = Rig.VALVED) -> SourceOff:
    """Return what was answered.

    Raises
    ------
    InputError
        If it is none of the answers, or a live source stands behind a rig without a valve.

    Examples
    --------
    >>> source_of("2"), source_of("hose")
    (<SourceOff.VENTED: 'valve shut, line vented'>, <SourceOff.HOSE_OFF: 'hose off'>)
    """
    names = {str(how): str(how) for how in ANSWERS[rig]}
    if rig is Rig.OWN_GAUGE and one_of(text, {**names, LIVE: LIVE}, "answer") == LIVE:
        raise InputError(
            "a live source feeds the leak: put a valve behind it, gauge on the loop's side, then rig valve"
        )
    return SourceOff(one_of(text, names, "answer"))


def told(how: SourceOff) -> str:
    """Return an answer with what follows from it."""
    if how is SourceOff.PUMP_LEFT:
        return "hand pump left on: no stroke until the end; pump and hose belong to the loop"
    if how is SourceOff.VALVE_ONLY:
        return "valve only: no PASS, for a valve that seeps in hides a leak"
    return str(how)


def source_deed(hand: "HoldAtHand", text: str, *, lead: str = "") -> Deed:
    """Return what an answer does; ``lead`` stands before it where the line itself said what it is about."""
    how = source_of(text, hand.hold.rig)
    return said(f"{lead}{told(how)}", lambda: hand.work.isolate(hand.build_id, how), answer=f"source: {told(how)}")


_RIGS = {Rig.VALVED: "valve", Rig.OWN_GAUGE: "own gauge"}
SOURCE_SIDE = "gauge on the source side"
"""A rig that proves nothing once its valve is shut."""


def rig_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what describing the test rig does.

    Raises
    ------
    InputError
        If it is none that is known, or its gauge would be cut off from the loop.
    """
    names = {**{str(rig): word for rig, word in _RIGS.items()}, SOURCE_SIDE: "source side"}
    key = one_of(text, names, "test rig")
    if key == SOURCE_SIDE:
        raise InputError(
            "on the source side the gauge shows the hose, not the loop, once the valve is shut. Move it to the "
            "loop's side. A pump without a valve is rig own gauge"
        )
    rig = Rig(key)
    return said(
        f"{rig}; the steps begin again", lambda: describe_rig(hand.work, hand.build_id, rig), answer=f"rig: {rig}"
    )
