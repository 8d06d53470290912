"""How a hold ends that is ended now, and which one was ended last."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.state.attempt import judged_hold

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.record.fold import BuildState
    from commission.stages.pressure_hold.entries import HoldPlan
    from commission.stages.pressure_hold.model import HoldVerdict
    from commission.stages.pressure_hold.state.attempt import HoldAttempt


def ending_now(hold: HoldAttempt, fed_s: Sequence[float], elapsed_s: float, so_far: HoldVerdict | None) -> Ending:
    """Return how a running hold ends if it is ended now: as planned, since the leak is proven, or by hand.

    Parameters
    ----------
    hold
        The hold.
    fed_s
        Places of its fed readings, in order [s]: a logger may have counted before the hold began.
    elapsed_s
        How long it has run by our own clock; where it is taken over from a file, as far as that reaches [s].
    so_far
        The verdict as it stands; None where there is none yet.
    """
    unseen_s = fed_s[0] if hold.began_ms is not None and len(fed_s) else 0.0
    reached = elapsed_s - unseen_s
    if hold.end_s is not None and reached >= hold.end_s:
        return Ending.PLANNED
    return Ending.GROSS_LEAK if so_far is not None and so_far.outcome is Outcome.FAIL else Ending.BY_HAND


def ended_hold(state: BuildState) -> tuple[HoldAttempt, HoldPlan]:
    """Return the hold that was ended last, with its plan; raises NotAllowed where none was."""
    judged = judged_hold(state)
    if judged is None or judged.plan is None:
        raise NotAllowed("no hold was ended yet; there is no pressure to vent as logged")
    return judged, judged.plan
