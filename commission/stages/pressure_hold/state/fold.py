"""What the entries of a hold add up to: its attempts, and the cures that a pass proved."""

from collections.abc import Callable
from typing import assert_never

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.stage_ids import HOLD
from commission.record.build_state import BuildState
from commission.record.entries import CautionAcknowledged, CautionsPrinted, StepDone
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.held import Held
from commission.record.machine.instrument import InstrumentKind
from commission.record.payload import kind_shown
from commission.record.staleness import put_run, told, with_problem
from commission.stages.pressure_hold.entries import (
    HoldClosed,
    HoldEntry,
    HoldExtended,
    HoldPlanned,
    HoldStarted,
    PressureLetDown,
    ReadingTaken,
    RigDescribed,
    RowNoted,
    RowsRefused,
    RowWithdrawn,
    SearchBegun,
    SearchPumped,
    SearchTried,
    SourceIsolated,
)
from commission.stages.pressure_hold.state.attempt import (
    HoldAttempt,
    hold_of,
    holds_of,
    judged_hold,
    timed,
    wet_by_the_record,
)
from commission.stages.pressure_hold.state.found import found_during, of_the_loop
from commission.stages.pressure_hold.state.search import Search

Progress = CautionAcknowledged | CautionsPrinted | StepDone
"""Cautions and steps of the hold."""


def apply_hold(state: BuildState, entry: Logged, payload: HoldEntry | Progress) -> BuildState:
    """Return the state after an entry of a hold, or a caution or step of one."""
    hold = hold_of(state)
    if isinstance(payload, PressureLetDown):
        return _let_down(state, payload.attempt)
    if isinstance(payload, SearchBegun | SearchPumped | SearchTried):
        return _searched(state, entry, payload)
    if isinstance(payload, SourceIsolated | RigDescribed):
        if payload.attempt != hold.attempt or hold.started is not None:
            said = f"it speaks of an attempt that is not being prepared (that is {hold.attempt})"
            return with_problem(state, entry.seq, said)
        if isinstance(payload, RigDescribed):  # another rig is connected
            return _with_hold(state, replace(hold, rig=payload.rig, source=None, steps=()))
        return _with_hold(state, replace(hold, source=payload.how))
    if payload.attempt != hold.attempt:
        return with_problem(state, entry.seq, f"it speaks of an attempt that is not this one (that is {hold.attempt})")
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
    payload: HoldPlanned
    | HoldStarted
    | ReadingTaken
    | RowNoted
    | RowsRefused
    | RowWithdrawn
    | HoldExtended
    | HoldClosed,
) -> BuildState:
    match payload:
        case HoldPlanned(plan=plan):
            return _with_hold(state, replace(hold, plan=plan, planned_seq=entry.seq))
        case HoldStarted(plan=plan):
            return _emptied(_with_hold(state, replace(hold, plan=plan, started=entry)), entry.seq)
        case ReadingTaken():
            if hold.started is None:
                return with_problem(state, entry.seq, "a reading before the hold was started")
            return _with_hold(state, replace(hold, readings=(*hold.readings, timed(hold.started, entry, payload))))
        case RowNoted() | RowsRefused() | RowWithdrawn():
            return _with_hold(state, _with_rows(hold, payload))
        case HoldExtended(hold_s=hold_s):
            if hold.plan is None:
                return with_problem(state, entry.seq, f'"{kind_shown(payload)}" does not fit here')
            return _with_hold(state, replace(hold, plan=replace(hold.plan, hold_s=hold_s), looks=hold.looks + 1))
        case HoldClosed():
            hold = replace(hold, closed=entry, volume=None if hold.plan is None else hold.plan.volume)
            return _closed(replace(state, held=_held(hold)), hold, payload)
        case _ as unreachable:
            assert_never(unreachable)


def _with_rows(hold: HoldAttempt, payload: RowNoted | RowsRefused | RowWithdrawn) -> HoldAttempt:
    if isinstance(payload, RowWithdrawn):
        return replace(hold, rows_gone=hold.rows_gone | {payload.number})
    if isinstance(payload, RowsRefused):
        return replace(hold, refused_s=payload.elapsed_s)
    return replace(hold, noted=(*hold.noted, payload))


def _emptied(state: BuildState, seq: int) -> BuildState:
    """Take the loop as empty where it is held on air: what was poured before is out, and what rested on it is stale."""
    if not wet_by_the_record(state, seq):
        return state
    return told(told(replace(state, coolant_m3=0.0), Change.ANOTHER_LOOP), Change.HELD_ON_AIR)


def _with_hold(state: BuildState, hold: HoldAttempt) -> BuildState:
    return put_run(state, HOLD, hold)


def _let_down(state: BuildState, attempt: int) -> BuildState:
    return _changed(state, attempt, lambda hold: replace(hold, let_down=True, search=_without_pressure(hold.search)))


def _without_pressure(search: Search | None) -> Search | None:
    return None if search is None else replace(search, pumped=None)


def _searched(state: BuildState, entry: Logged, payload: SearchBegun | SearchPumped | SearchTried) -> BuildState:
    """Take in an entry of a leak search, which speaks of a hold that was judged."""
    judged = judged_hold(state)
    if judged is None or judged.attempt != payload.attempt:
        return with_problem(state, entry.seq, "it searches for a leak of a hold that was not judged last")
    if isinstance(payload, SearchBegun):
        fresh = Search(suspects=payload.suspects)
        return _changed(state, judged.attempt, lambda hold: replace(hold, search=fresh))
    search = judged.search
    if search is None or payload.behind not in search.suspects:
        return with_problem(state, entry.seq, f'"{kind_shown(payload)}" speaks of a search that was not begun')
    if isinstance(payload, SearchPumped):
        pumped = replace(search, pumped=entry)
        return _changed(state, judged.attempt, lambda hold: replace(hold, let_down=False, search=pumped))
    tried = replace(search, tries=(*search.tries, payload), tried_seqs=(*search.tried_seqs, entry.seq), pumped=None)
    return _changed(state, judged.attempt, lambda hold: replace(hold, search=tried))


def _changed(state: BuildState, attempt: int, change: Callable[[HoldAttempt], HoldAttempt]) -> BuildState:
    """Change an attempt that was ended, and what the record keeps of the last one."""
    holds = tuple(change(hold) if hold.attempt == attempt else hold for hold in holds_of(state))
    if not holds:
        return state
    state = replace(state, runs={**state.runs, HOLD: holds})
    judged = judged_hold(state)
    return state if judged is None else replace(state, held=_held(judged))


def _held(hold: HoldAttempt) -> Held:
    """Return what the record keeps of a hold that was ended."""
    readings = [timed.reading for timed in hold.readings]
    seen = [0.0 if hold.plan is None else hold.plan.target_gauge_pa]
    if hold.plan is not None and hold.plan.gauge.kind is InstrumentKind.GAUGE:
        seen += [reading.pressure.si for reading in readings if reading.pressure is not None]
    airs = [reading.air.si for reading in readings if reading.air is not None]
    return Held(
        gauge_pa=max(seen),
        air_k=airs[-1] if airs else None,
        let_down=hold.let_down,
        left_out=hold.left_out,
        volume=None if hold.plan is None else hold.plan.volume,
    )


def _closed(state: BuildState, hold: HoldAttempt, closed: HoldClosed) -> BuildState:
    """End an attempt; a pass proves the cures before it, and nothing where a fault was found while it ran.

    This program gives no such pass, but a record that is read may hold one.
    """
    if closed.verdict.outcome is not Outcome.PASS:
        return _with_hold(state, hold)
    during = found_during(state.findings, hold)
    if during:
        return _with_hold(state, replace(hold, stale_by=during[0].seq))
    findings = tuple(
        replace(f, proved_by=hold.attempt) if of_the_loop(f) and f.cure and f.proved_by is None else f
        for f in state.findings
    )
    return _with_hold(replace(state, findings=findings), hold)
