"""Faults of the loop that were found, or put right, while a hold ran, and those that are still to be found."""

from collections.abc import Sequence

from commission.base.verdict import Outcome
from commission.physics.leak import leak_drop
from commission.procedure.stage_ids import HOLD
from commission.record.build_state import BuildState, Finding
from commission.record.mishap import speaks_of_the_loop
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.state.attempt import HoldAttempt, judged_hold

GIVEN_UP = (Ending.BY_HAND, Ending.INTERRUPTED, Ending.ABANDONED)
"""Endings that the builder chose before the plan did."""
LEAK_SHOWS_S = 600.0
"""Time before which a fall shows no leak, for the gas still cools [s]; our choice: as where a leak is called early."""

FAST_TIMES = 2.0
"""Fall before that time that points at a leak all the same, in falls of a leak at the limit over the whole hold [1];
our choice: heat of pumping by hand takes less, and it only says where to look."""
FAST_SHARE = 0.05
"""Fall within that time that points at a leak, however long the hold is planned, in shares of the first reading [1];
our choice: the gas cools within a minute and hoses give by one or two hundredths, which is 8 mbar of 400."""
FAST_STEPS = 2.0
"""Such a fall is more than so many steps of the gauge as well [1]; our choice: one step each is reading alone."""


def of_the_loop(found: Finding) -> bool:
    """Return whether a fault speaks against a loop under test: a hold found it, or it leaked or burst at any stage."""
    return found.raised.stage == HOLD if found.wrong is None else speaks_of_the_loop(found.wrong)


def not_repaired(state: BuildState) -> tuple[Finding, ...]:
    """Return the faults that a retest waits for: all but those of the power, which are no matter of the loop."""
    return tuple(one for one in state.open_findings if one.wrong is None or speaks_of_the_loop(one.wrong))


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

    return tuple(one for one in findings if of_the_loop(one) and (within(one.seq) or within(one.cured_at)))


def fault_is_to_be_found(state: BuildState) -> bool:
    """Return whether the last hold showed a leak and nobody wrote down what was found.

    It failed, or it was given up while the lower bound of its leak was beyond the limit: that is no way round a fail.
    """
    judged = judged_hold(state)
    if judged is None or not _showed_a_leak(judged):
        return False
    return not any(_found_after(one, judged) for one in state.findings if of_the_loop(one))


def search_is_open(state: BuildState) -> bool:
    """Return whether a leak may be searched for: one is to be found, or the last hold fell too fast for settling."""
    if fault_is_to_be_found(state):
        return True
    judged = judged_hold(state)
    if judged is None or judged.stale_by is not None or fell_fast(judged) is None:
        return False
    return not any(_found_after(one, judged) for one in state.findings if of_the_loop(one))


def repaired_since(state: BuildState) -> bool:
    """Return whether a fault of the loop that was found at the last hold, or since, was put right."""
    judged = judged_hold(state)
    found = () if judged is None else [one for one in state.findings if of_the_loop(one) and _found_after(one, judged)]
    return any(one.cured_at is not None for one in found)


def fell_fast(hold: HoldAttempt) -> tuple[float, float] | None:
    """Return by how much a hold that is not decided fell at once [Pa] and in which time [s]; None where it did not.

    Notes
    -----
    Of a hold that has gone on for longer, the readings of its last 10 min are asked: it may still fall.

    g(first) − g(last) > 2·L·H/V within 10 min, with limit L, planned time H and volume V; or, before a long hold has
    got so far, beyond 5 % of g(first), 2·L·(10 min)/V and two steps of the gauge. The settling time counts as any
    other. It proves nothing, for the gas still cools; it only says where to look.
    """
    closed, plan = hold.verdict_entry, hold.plan
    if plan is None or (closed is not None and closed.verdict.outcome is not Outcome.INCONCLUSIVE):
        return None
    seen = [(one.elapsed.elapsed_s, one.reading.pressure.si) for one in hold.readings if one.reading.pressure]
    seen = [one for one in seen if seen[-1][0] - one[0] < LEAK_SHOWS_S]
    if len(seen) < 2:
        return None
    fell = seen[0][1] - seen[-1][1]
    whole, early = (
        FAST_TIMES * float(leak_drop(plan.limit_pa_m3_s, plan.volume_m3, time_s))
        for time_s in (plan.hold_s, LEAK_SHOWS_S)
    )
    beyond = min(whole, max(early, FAST_SHARE * seen[0][1], FAST_STEPS * plan.gauge.resolution))
    return (fell, seen[-1][0] - seen[0][0]) if fell > beyond else None


def _found_after(found: Finding, judged: HoldAttempt) -> bool:
    """Return whether a fault was found at an attempt, or a leak was told since it began."""
    if found.wrong is None:
        return found.raised.attempt == judged.attempt
    return judged.started is not None and found.seq > judged.started.seq


def _showed_a_leak(hold: HoldAttempt) -> bool:
    closed = hold.verdict_entry
    if closed is None:
        return False
    verdict, found = closed.verdict, closed.verdict.leak_rate
    if verdict.outcome is Outcome.FAIL:
        return True
    if closed.ending not in GIVEN_UP or hold.refused_s is not None or found is None:
        return False
    return verdict.duration_s >= LEAK_SHOWS_S and found.at_least > verdict.limit_pa_m3_s
