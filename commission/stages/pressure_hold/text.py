"""Entries of a pressure hold, in one line each."""

from typing import assert_never

from commission.base.quantity import Quantity
from commission.base.text import counted
from commission.record.value_text import shown, volume_text
from commission.stages.pressure_hold.entries import (
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


def hold_text(payload: HoldEntry) -> str:
    """Return what an entry says beside its kind.

    Examples
    --------
    >>> from commission.stages.pressure_hold.entries import SourceOff
    >>> hold_text(SourceIsolated(attempt=2, how=SourceOff.HOSE_OFF))
    'attempt 2: hose off'
    """
    if isinstance(payload, SearchBegun | SearchPumped | SearchTried):
        return _search(payload)
    match payload:
        case SourceIsolated(attempt=attempt, how=said) | RigDescribed(attempt=attempt, rig=said):
            return f"attempt {attempt}: {said}"
        case HoldPlanned(attempt=attempt, plan=plan) | HoldStarted(attempt=attempt, plan=plan):
            return f"attempt {attempt}: {_plan(plan)}"
        case ReadingTaken(pressure=pressure, air=air, barometer=barometer, note=note):
            named = (("gauge", pressure), ("air", air), ("barometer", barometer))
            read = [f"{name} {value.typed}" for name, value in named if value is not None]
            return ", ".join([*read, note] if note else read)
        case RowNoted() | RowsRefused() | RowWithdrawn():
            return _rows(payload)
        case HoldExtended(attempt=attempt, hold_s=hold_s):
            return f"attempt {attempt}: to {shown(hold_s, Quantity.DURATION)}"
        case HoldClosed(attempt=attempt, ending=ending, verdict=verdict):
            return f"attempt {attempt}: {verdict.outcome}, {ending}"
        case PressureLetDown(attempt=attempt, gauge=gauge):
            return f"attempt {attempt}: gauge {gauge.typed}"
        case _ as unreachable:
            assert_never(unreachable)


def _rows(payload: RowNoted | RowsRefused | RowWithdrawn) -> str:
    if isinstance(payload, RowWithdrawn):
        return f"attempt {payload.attempt}, row {payload.number}: {payload.reason}"
    if isinstance(payload, RowNoted) and payload.above:
        return f"attempt {payload.attempt}, above the rows: {payload.note}"
    at = f"at {shown(payload.elapsed_s, Quantity.DURATION)} of the hold"
    if isinstance(payload, RowsRefused):
        return f"attempt {payload.attempt}: read after now, {at}"
    return f"attempt {payload.attempt}, {at}: {payload.note or counted(payload.unread, 'row') + ' could not be read'}"


def _search(payload: SearchBegun | SearchPumped | SearchTried) -> str:
    match payload:
        case SearchBegun(attempt=attempt, suspects=suspects):
            return f"attempt {attempt}: {', '.join(suspects)}"
        case SearchPumped(attempt=attempt, behind=behind, gauge=gauge):
            return f"attempt {attempt}: parted off behind {behind}, gauge {gauge.typed}"
        case SearchTried(attempt=attempt, behind=behind, start=start, end=end, after_s=after_s, word=word):
            went = f"{start.typed} to {end.typed} in {shown(after_s, Quantity.DURATION)}"
            return f"attempt {attempt}: parted off behind {behind}, {went}: {word}"
        case _ as unreachable:
            assert_never(unreachable)


def _plan(plan: HoldPlan) -> str:
    limit = shown(plan.limit_pa_m3_s, Quantity.LEAK_RATE)
    target = shown(plan.target_gauge_pa, Quantity.GAUGE_PRESSURE)
    return (
        f"{target} for {shown(plan.hold_s, Quantity.DURATION)}, "
        f"limit {limit}, volume {volume_text(plan.volume_m3, plan.u_volume_m3)} ({plan.volume_basis})"
        f"{', assumed: ' + ', '.join(plan.assumed) if plan.assumed else ''}"
    )
