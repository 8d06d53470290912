"""What a verdict must say beside the readings: a source that may have fed the leak, parts that were not tested."""

from collections.abc import Sequence

from commission.base.frozen import replace
from commission.base.quantity import Phrase
from commission.base.text import braced
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.entries import SourceOff
from commission.stages.pressure_hold.model import HoldVerdict

VALVE_ONLY = Phrase(
    "source_valve_only",
    "Source valve only: a valve that seeps in hides a leak. Take the hose off and hold again.",
)

NOT_SAID = Phrase(
    "source_not_said",
    "How the source was off is not said: one that seeps in hides a leak. Say it, such as # source: hose off.",
)


PUMP_LEFT = Phrase(
    "source_pump_left_on",
    "The pump stayed on, with no valve between: a leak of pump or hose counts as the loop's.",
)


def with_source(verdict: HoldVerdict, source: SourceOff | None, left_out: Sequence[str] = ()) -> HoldVerdict:
    """Return a verdict with what the readings cannot know.

    Parameters
    ----------
    verdict
        What the readings prove.
    source
        How the source was kept from feeding the loop; None where nobody said.
    left_out
        Names of the parts that no pressure reached.

    Returns
    -------
    HoldVerdict
        With a shut valve and pressure behind it a pass becomes inconclusive: what seeps in through the valve makes up
        for what leaks out, and no reading of the loop can tell. A hand pump that is left on has nothing behind it, and
        its leaks are told as the loop's. Anything else stands, for seeping in only hides a
        leak. Where nobody said, a pass says so. Parts that were left out are named behind the reason that decided.
    """
    reasons = verdict.reasons
    if left_out:
        untested = Phrase("parts_not_tested", f"Not tested: {braced(', '.join(left_out))}. Nothing is proved of it.")
        reasons = (*reasons[:1], untested, *reasons[1:])
    if source is None and verdict.outcome is Outcome.PASS:
        reasons = (*reasons[:1], NOT_SAID, *reasons[1:])
    if source is SourceOff.PUMP_LEFT:
        reasons = (*reasons[:1], PUMP_LEFT, *reasons[1:])
    if source is not SourceOff.VALVE_ONLY:
        return replace(verdict, reasons=reasons)
    if verdict.outcome is Outcome.PASS:
        return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(VALVE_ONLY, *reasons), hold_needed_s=None)
    return replace(verdict, reasons=(*reasons[:1], VALVE_ONLY, *reasons[1:]))
