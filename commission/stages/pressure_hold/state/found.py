"""Faults of the loop that were found, or put right, while a hold ran."""

from collections.abc import Sequence

from commission.record.build_state import HOLD, Finding
from commission.stages.pressure_hold.state.attempt import HoldAttempt


def found_during(findings: Sequence[Finding], hold: HoldAttempt) -> tuple[Finding, ...]:
    """Return the faults of the loop that were found or put right between the start and the end of a hold.

    Parameters
    ----------
    findings
        All findings of the build, in order.
    hold
        The attempt; one that still runs ends with the record as it is.
    """
    if hold.started is None:
        return ()
    begin = hold.started.seq

    def within(seq: int | None) -> bool:
        return seq is not None and begin < seq and (hold.closed is None or seq < hold.closed.seq)

    return tuple(one for one in findings if one.raised.stage == HOLD and (within(one.seq) or within(one.cured_at)))
