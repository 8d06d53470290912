"""How a hold ends that is ended now, and which one was ended last."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.judge.verdict import UNSEEN_SHARE
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
    fed_s
        Places of its fed readings, in order [s]: a logger may have counted before the hold began.
    elapsed_s
        How long it has run by our own clock; where it is taken over from a file, as far as that reaches [s].
    so_far
        The verdict as it stands; None where there is none yet.
    """
    unseen_s = _unseen_s(hold, fed_s, elapsed_s)
    reached = elapsed_s if unseen_s <= UNSEEN_SHARE * (hold.end_s or 0.0) else elapsed_s - unseen_s
    if hold.end_s is not None and reached >= hold.end_s:
        return Ending.PLANNED
    return Ending.GROSS_LEAK if so_far is not None and so_far.outcome is Outcome.FAIL else Ending.BY_HAND


def _unseen_s(hold: HoldAttempt, fed_s: Sequence[float], elapsed_s: float) -> float:
    """Return how long a hold had run before its first gauge reading [s]: nobody saw what it did until then."""
    typed = [one.elapsed.elapsed_s for one in hold.readings if one.reading.pressure is not None]
    if typed or not len(fed_s):
        return max(0.0, min(typed, default=0.0))
    if hold.began_ms is not None:
        return fed_s[0]
    return max(0.0, elapsed_s - (fed_s[-1] - fed_s[0]))  # a logger may have counted before the hold began


def ended_hold(state: BuildState) -> tuple[HoldAttempt, HoldPlan]:
    """Return the hold that was ended last, with its plan; raises NotAllowed where none was."""
    judged = judged_hold(state)
    if judged is None or judged.plan is None:
        raise NotAllowed("no hold was ended yet; there is no pressure to vent as logged")
    return judged, judged.plan
