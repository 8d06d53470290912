"""What the entries of a hold add up to: its attempts, and the cures that a pass proved."""

from dataclasses import replace
from typing import assert_never

from commission.base.verdict import Outcome
from commission.record.build_state import HOLD, BuildState
from commission.record.entries import CautionAcknowledged, CautionsPrinted, StepDone
from commission.record.logged import Logged
from commission.record.staleness import with_problem
from commission.stages.pressure_hold.entries import (
    HoldClosed,
    HoldEntry,
    HoldExtended,
    HoldPlanned,
    HoldStarted,
    PressureLetDown,
    ReadingTaken,
    SourceIsolated,
)
from commission.stages.pressure_hold.state.attempt import HoldAttempt, timed

Progress = CautionAcknowledged | CautionsPrinted | StepDone
"""Cautions and steps of the hold."""


def apply_hold(state: BuildState, entry: Logged, payload: HoldEntry | Progress) -> BuildState:
    """Return the state after an entry of a hold, or a caution or step of one."""
    hold = state.hold
    if isinstance(payload, PressureLetDown):
        holds = tuple(replace(h, let_down=True) if h.attempt == payload.attempt else h for h in state.holds)
        return replace(state, holds=holds)
    if isinstance(payload, SourceIsolated):
        if payload.attempt != hold.attempt or hold.started is not None:
            told = f"it speaks of an attempt that is not being prepared (that is {hold.attempt})"
            return with_problem(state, entry.seq, told)
        return _with_hold(state, replace(hold, source=payload.how))
    if payload.attempt != hold.attempt:
        return with_problem(state, entry.seq, f"it speaks of an attempt that is not at hand (that is {hold.attempt})")
    if isinstance(payload, Progress):
        return _with_hold(state, _progress(hold, payload))
    return _run(state, hold, entry, payload)


def _progress(hold: HoldAttempt, payload: Progress) -> HoldAttempt:
    match payload:
        case CautionAcknowledged(caution=caution):
            return replace(hold, acknowledged=hold.acknowledged | {caution})
        case CautionsPrinted(cautions=cautions):
            return replace(hold, printed=hold.printed | set(cautions))
        case StepDone(step=step):
            return replace(hold, steps=(*hold.steps, step))
        case _ as unreachable:
            assert_never(unreachable)


def _run(
    state: BuildState,
    hold: HoldAttempt,
    entry: Logged,
    payload: HoldPlanned | HoldStarted | ReadingTaken | HoldExtended | HoldClosed,
) -> BuildState:
    match payload:
        case HoldPlanned(plan=plan):
            return _with_hold(state, replace(hold, plan=plan))
        case HoldStarted(plan=plan):
            return _with_hold(state, replace(hold, plan=plan, started=entry))
        case ReadingTaken():
            if hold.started is None:
                return with_problem(state, entry.seq, "a reading before the hold was started")
            return _with_hold(state, replace(hold, readings=(*hold.readings, timed(hold.started, entry, payload))))
        case HoldExtended(hold_s=hold_s):
            if hold.plan is None:
                return with_problem(state, entry.seq, f'"{payload.KIND}" does not fit here')
            return _with_hold(state, replace(hold, plan=replace(hold.plan, hold_s=hold_s), looks=hold.looks + 1))
        case HoldClosed():
            return _proved(_with_hold(state, replace(hold, closed=entry)), hold.attempt, payload)
        case _ as unreachable:
            assert_never(unreachable)


def _with_hold(state: BuildState, hold: HoldAttempt) -> BuildState:
    others = tuple(other for other in state.holds if other.attempt != hold.attempt)
    return replace(state, holds=(*others, hold))


def _proved(state: BuildState, attempt: int, closed: HoldClosed) -> BuildState:
    """Mark cured findings as proved where the attempt passed."""
    if closed.verdict.outcome is not Outcome.PASS:
        return state
    findings = tuple(
        replace(f, proved_by=attempt) if f.raised.stage == HOLD and f.cure and f.proved_by is None else f
        for f in state.findings
    )
    return replace(state, findings=findings)
