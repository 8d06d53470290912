"""What the record asks of the pressure hold."""

from collections.abc import Callable, Iterable, Mapping
from typing import get_args

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.procedure.model import Procedure, When
from commission.procedure.stage_ids import HOLD
from commission.record.build_state import BuildState, Finding, ShopState
from commission.record.entries import FindingCured, FindingRaised
from commission.record.face import RecordFace, RowValues, SeriesKinds
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.instrument import Instrument
from commission.record.machine.proof import Proof
from commission.record.payload import Payload, kind_shown
from commission.record.ports import Working
from commission.record.staleness import loop_at_fault
from commission.record.table import Source, Table
from commission.record.undoing import Reach, Undoing
from commission.stages.pressure_hold.entries import (
    Ending,
    HoldClosed,
    HoldEntry,
    HoldExtended,
    HoldPlan,
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
from commission.stages.pressure_hold.state.attempt import HoldAttempt, hold_of, judged_hold
from commission.stages.pressure_hold.state.fold import Progress, apply_hold
from commission.stages.pressure_hold.state.rows_gone import refuse_row


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, HoldEntry | Progress)  # the registry asks for these kinds only
    return apply_hold(state, entry, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str]) -> str:
    from commission.stages.pressure_hold.text import hold_text

    assert isinstance(payload, HoldEntry)  # the registry asks for these kinds only
    return hold_text(payload)


def _refuse_withdrawal(_state: BuildState, entry: Logged) -> None:
    """Refuse to withdraw a longer hold: a withdrawn one would give the odds of a look back, and it took place.

    A record in which an earlier version withdrew one is still imported.
    """
    if isinstance(entry.payload, HoldExtended):
        raise NotAllowed(f'entry {entry.seq} ("{kind_shown(entry.payload)}") cannot be withdrawn; add a note instead')


def _at_fault(state: BuildState, _raised: FindingRaised, seq: int) -> BuildState:
    return loop_at_fault(state, seq)


def _cured(state: BuildState, _found: Finding, seq: int) -> BuildState:
    """Take the worth of a hold that passed before: whoever put something right had the loop open since."""
    return loop_at_fault(state, seq)


def _reread(header: str, typed: str) -> RowValues | None:
    from commission.stages.pressure_hold.files.reread import reread_hold

    return reread_hold(header, typed)


def _tables(source: Source) -> Iterable[Table]:
    from commission.stages.pressure_hold.files.readings_table import readings_tables

    return readings_tables(source)


def _gauge(payload: Payload) -> Instrument:
    assert isinstance(payload, HoldStarted)  # the only kind that begins a series here
    return payload.plan.gauge


def _admit(state: BuildState, procedure: Procedure, entry: Logged) -> None:
    payload, hold = entry.payload, hold_of(state)
    match payload:
        case SourceIsolated() | RigDescribed() if hold.running:
            raise NotAllowed("what comes before the start is changed while a hold runs")
        case HoldPlanned() | HoldStarted() if hold.running:
            raise NotAllowed("a hold is planned or started while one runs")
        case HoldPlanned(plan=plan):
            _refuse_plan(plan)
        case HoldStarted(plan=plan):
            _refuse_plan(plan)
            _refuse_start(state, procedure)
        case ReadingTaken() | RowNoted() | RowsRefused() | HoldExtended() | HoldClosed() if not hold.running:
            raise NotAllowed("no hold runs before it")
        case ReadingTaken():
            _refuse_reading(state, entry, payload)
        case HoldExtended(hold_s=hold_s) if hold.plan is None or hold_s <= hold.plan.hold_s:
            raise NotAllowed("an extended hold must be longer than it was planned")
        case PressureLetDown() if judged_hold(state) is None:
            raise NotAllowed("no hold was ended before it")
        case SearchBegun() | SearchPumped() | SearchTried():
            _refuse_search(state, payload)
        case _:
            _refuse_rest(payload, hold)


def _refuse_rest(payload: Payload, hold: HoldAttempt) -> None:
    """Raise NotAllowed where a pass rests on no reading, or a row cannot be withdrawn."""
    if isinstance(payload, RowWithdrawn):
        refuse_row(hold, payload.number)
    if not isinstance(payload, HoldClosed):
        return
    if payload.verdict.outcome is Outcome.PASS and not (hold.readings or payload.samples):
        raise NotAllowed("it passed, and nothing was read in it")


def _refuse_search(state: BuildState, payload: SearchBegun | SearchPumped | SearchTried) -> None:
    judged = judged_hold(state)
    if judged is None or judged.attempt != payload.attempt:
        raise NotAllowed("the hold whose leak it searches for was not ended before it")
    if isinstance(payload, SearchBegun):
        if not payload.suspects or len(set(payload.suspects)) != len(payload.suspects):
            raise NotAllowed("the suspects of a leak search have names, each only once")
        return
    search = judged.search
    if search is None or payload.behind not in search.suspects:
        raise NotAllowed("no leak search with that suspect was begun before it")
    if isinstance(payload, SearchPumped) and not judged.let_down:
        raise NotAllowed("the pressure was not vented before the loop was parted off")
    if isinstance(payload, SearchTried) and search.pumped is None:
        raise NotAllowed("nothing was pumped up for this try of the leak search")


def _copied(
    before: BuildState, now: BuildState, procedure: Procedure, shop: ShopState, _new_id: Callable[[], str]
) -> Iterable[Payload]:
    from commission.stages.pressure_hold.work.plans import plan_like

    plan = plan_like(before, now, procedure.stage(HOLD), shop)
    return () if plan is None else (HoldPlanned(attempt=hold_of(now).attempt, plan=plan),)


def _refuse_plan(plan: HoldPlan) -> None:
    if not (plan.hold_s > 0 and plan.limit_pa_m3_s > 0 and plan.volume_m3 > 0 and plan.target_gauge_pa > 0):
        raise NotAllowed("limit, time, volume and test pressure must all be above 0")
    if not (plan.gauge.resolution > 0 and plan.gauge.low < plan.gauge.high):
        raise NotAllowed("the gauge of the plan has no step or no range")


def _refuse_start(state: BuildState, procedure: Procedure) -> None:
    hold, stage = hold_of(state), procedure.stage(HOLD)
    if hold.plan is None:
        raise NotAllowed("the hold has no plan before it")
    seen = hold.acknowledged | hold.printed
    if any(caution.id not in seen for caution in stage.cautions_at(When.BEFORE_PRESSURE)):
        raise NotAllowed("cautions are not answered before it")
    if not hold.printed and any(step.id not in hold.steps for step in stage.steps):
        raise NotAllowed("steps are not done before it")


def _refuse_reading(state: BuildState, entry: Logged, reading: ReadingTaken) -> None:
    started = hold_of(state).started
    if reading.pressure is None and reading.air is None and reading.barometer is None and not reading.note:
        raise NotAllowed("nothing was read")
    seen = entry.observed_ms
    if started is not None and seen is not None and not started.mark.wall_ms <= seen <= entry.mark.wall_ms:
        raise NotAllowed("it was seen before the start of the hold or after it was entered")


def _again(book: Working, entry: Logged) -> object:
    from commission.stages.pressure_hold.work.holds import Holds

    assert isinstance(entry.payload, HoldClosed)  # the registry asks for this kind only
    broken_off = entry.payload.ending in (Ending.INTERRUPTED, Ending.ABANDONED)
    return book.work(Holds).close(entry.build, entry.payload.ending if broken_off else None)


RECORD = RecordFace(
    id=HOLD,
    word="hold",
    kinds=get_args(HoldEntry),
    fold=_fold,
    admit=_admit,
    tables=_tables,
    text=_text,
    progress=_fold,
    ends=(HoldClosed,),
    again={HoldClosed: _again},
    kept=(
        SourceIsolated,
        RigDescribed,
        HoldStarted,
        RowNoted,
        RowsRefused,
        RowWithdrawn,
        HoldClosed,
        SearchBegun,
        SearchPumped,
    ),
    placed=(ReadingTaken,),
    described=(RigDescribed, SourceIsolated, HoldPlanned, HoldExtended, RowNoted, RowsRefused, RowWithdrawn),
    refuse_withdrawal=_refuse_withdrawal,
    at_fault=_at_fault,
    cured=_cured,
    undoes=(
        Undoing(HoldStarted, "coolant was in the loop: it is out now", (Change.ANOTHER_LOOP, Change.HELD_ON_AIR)),
        Undoing(FindingRaised, "at a pressure hold, after one that passed", (Change.AT_FAULT,), Reach.EVERY),
        Undoing(FindingCured, "at a pressure hold, after one that passed", (Change.AT_FAULT,), Reach.EVERY),
    ),
    stale_on=frozenset({Change.LEAKED, Change.CAME_APART}),
    proves=Proof.TIGHT,
    copied=_copied,
    series=SeriesKinds(begun=HoldStarted, closed=HoldClosed, reread=_reread, gauge=_gauge),
)
"""The pressure hold as the record sees it."""
