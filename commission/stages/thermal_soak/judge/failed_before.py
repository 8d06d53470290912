"""A component that failed a soak is read again, and the load with it, before another soak passes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen, replace
from commission.base.verdict import Outcome
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.stages.thermal_soak.entries import SoakClosed
from commission.stages.thermal_soak.judge import reasons, reasons_told
from commission.stages.thermal_soak.judge.told import AS_MUCH
from commission.stages.thermal_soak.state import SoakState

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.base.quantity import Phrase
    from commission.record.build_state import BuildState
    from commission.stages.thermal_soak.model import PartLimit, SoakVerdict
    from commission.stages.thermal_soak.state import HotPart


class FailedPart(Frozen):
    """A component that was too warm in a soak before."""

    attempt: int
    """Which attempt, from 1."""
    limit: PartLimit
    """The limit by which it was [K]."""
    load_w: float | None
    """The load at which it was [W]; None where nobody read it."""


def failed_parts(state: BuildState, before: int) -> tuple[FailedPart, ...]:
    """Return the components that failed since a soak passed, one of each name; those before an attempt."""
    found, hottest = dict[str, FailedPart](), state.of(SoakState).hottest
    for run in state.runs.get(THERMAL_SOAK, ()):
        closed = None if run.closed is None or run.attempt >= before else run.closed.payload
        if not isinstance(closed, SoakClosed):
            continue
        if closed.verdict.outcome is Outcome.PASS:
            found.clear()
            continue
        parts = {one.name: one for one in hottest if one.attempt == run.attempt}
        for limit in closed.verdict.limits:
            hot = parts.get(limit.name)
            if _too_warm(closed.verdict, limit, hot):
                load_w = closed.verdict.load_w if hot is None or hot.load_w is None else hot.load_w
                name = limit.name.casefold()
                sooner = found.get(name)
                # the largest load at which it failed: a later fail at less load takes nothing away
                most_w = max(load_w or 0.0, (sooner.load_w if sooner else None) or 0.0) or None
                found[name] = FailedPart(attempt=run.attempt, limit=limit, load_w=most_w)
    return tuple(found.values())


def read_again(verdict: SoakVerdict, failed: Sequence[FailedPart]) -> SoakVerdict:
    """Return a verdict that is no pass where such a component was not read again; tells less load and another limit.

    Less load is no bar: whoever limits the power for good has cured it. The verdict says by how much.
    """
    lacking, raised = tuple(_lacking(verdict, failed)), (*_at_less(verdict, failed), *_raised(verdict, failed))
    first, rest = verdict.reasons[:1], verdict.reasons[1:]
    if lacking and verdict.outcome is Outcome.PASS:
        return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(*lacking, *raised, *rest))
    if verdict.outcome is not Outcome.INCONCLUSIVE:
        lacking = ()
    return replace(verdict, reasons=(*first, *lacking, *raised, *rest))


def _too_warm(verdict: SoakVerdict, limit: PartLimit, hot: HotPart | None) -> bool:
    """Return whether a component was read above its limit, or failed by where it settles."""
    if hot is not None and hot.most_k > limit.most_k:
        return True
    settled = (one.end.lower95 for one in verdict.components if one.name == limit.name)
    said = reasons.warm_room(limit.name, 0.0, 0.0, 0.0)  # by its words: an end that only one bound holds is not kept
    why = ((one.code, one.template) for one in verdict.reasons)
    return any(low > limit.most_k for low in settled) or (said.code, said.template) in why


def _lacking(verdict: SoakVerdict, failed: Sequence[FailedPart]) -> Iterator[Phrase]:
    read = {one.name.casefold() for one in verdict.limits}
    for one in failed:
        if one.limit.name.casefold() not in read:
            yield reasons_told.failed_not_read(one.limit.name, one.attempt)
        elif one.load_w and verdict.load_w is None:
            yield reasons_told.failed_at_less(one.limit.name, one.attempt, one.load_w, None)


def _at_less(verdict: SoakVerdict, failed: Sequence[FailedPart]) -> Iterator[Phrase]:
    for one in failed:
        if one.load_w and verdict.load_w is not None and verdict.load_w < AS_MUCH * one.load_w:
            yield reasons_told.failed_at_less(one.limit.name, one.attempt, one.load_w, verdict.load_w)


def _raised(verdict: SoakVerdict, failed: Sequence[FailedPart]) -> Iterator[Phrase]:
    now = {one.name.casefold(): one.most_k for one in verdict.limits}
    for one in failed:
        most_k = now.get(one.limit.name.casefold(), one.limit.most_k)
        if most_k > one.limit.most_k:
            yield reasons_told.failed_by_lower(one.limit.name, one.attempt, one.limit.most_k, most_k)
