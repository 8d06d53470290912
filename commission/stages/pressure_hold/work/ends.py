"""How a hold ends that is ended now, and which one was ended last."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.state.attempt import judged_hold

if TYPE_CHECKING:
    from commission.record.fold import BuildState
    from commission.record.logged import Sample
    from commission.stages.pressure_hold.entries import HoldPlan
    from commission.stages.pressure_hold.model import HoldVerdict
    from commission.stages.pressure_hold.state.attempt import HoldAttempt


def ending_now(hold: HoldAttempt, last: Sample | None, elapsed_s: float, so_far: HoldVerdict | None) -> Ending:
    """Return how a running hold ends if it is ended now: as planned, since the leak is proven, or by hand.

    Parameters
    ----------
    hold
        The hold.
    last
        Its last streamed sample; None where there is none.
    elapsed_s
        How long it has run [s].
    so_far
        The verdict as it stands; None where there is none yet.
    """
    reached = max(elapsed_s, last.elapsed_s if last is not None else 0.0)
    if hold.end_s is not None and reached >= hold.end_s:
        return Ending.PLANNED
    return Ending.GROSS_LEAK if so_far is not None and so_far.outcome is Outcome.FAIL else Ending.BY_HAND


def ended_hold(state: BuildState) -> tuple[HoldAttempt, HoldPlan]:
    """Return the hold that was ended last, with its plan; raises NotAllowed where none was."""
    judged = judged_hold(state)
    if judged is None or judged.plan is None:
        raise NotAllowed("no hold was ended yet; there is no pressure to vent as logged")
    return judged, judged.plan
