"""What the record asks of the pressure hold."""

from collections.abc import Mapping
from typing import get_args

from commission.base.errors import NotAllowed
from commission.record.build_state import HOLD, BuildState
from commission.record.entries import FindingRaised
from commission.record.face import RecordFace, SeriesKinds
from commission.record.logged import Logged
from commission.record.machine.instrument import Instrument
from commission.record.payload import Payload
from commission.record.staleness import loop_at_fault
from commission.stages.pressure_hold.entries import HoldClosed, HoldEntry, HoldExtended, HoldStarted, SourceIsolated
from commission.stages.pressure_hold.state.fold import Progress, apply_hold


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, HoldEntry | Progress)  # the registry asks for these kinds only
    return apply_hold(state, entry, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str], ascii_only: bool) -> str:
    from commission.stages.pressure_hold.text import hold_text

    assert isinstance(payload, HoldEntry)  # the registry asks for these kinds only
    return hold_text(payload, ascii_only=ascii_only)


def _refuse_withdrawal(_state: BuildState, entry: Logged) -> None:
    """Refuse to withdraw a longer hold: a withdrawn one would give the odds of a look back, and it took place.

    A record in which an earlier version withdrew one is still imported.
    """
    if isinstance(entry.payload, HoldExtended):
        raise NotAllowed(f'entry {entry.seq} ("{entry.payload.KIND}") cannot be withdrawn; add a note instead')


def _at_fault(state: BuildState, _raised: FindingRaised, seq: int) -> BuildState:
    return loop_at_fault(state, seq)


def _gauge(payload: Payload) -> Instrument:
    assert isinstance(payload, HoldStarted)  # the only kind that begins a series here
    return payload.plan.gauge


RECORD = RecordFace(
    id=HOLD,
    kinds=get_args(HoldEntry),
    fold=_fold,
    text=_text,
    progress=_fold,
    begins=(HoldStarted,),
    ends=(HoldClosed,),
    kept=(SourceIsolated, HoldStarted, HoldClosed),
    refuse_withdrawal=_refuse_withdrawal,
    at_fault=_at_fault,
    series=SeriesKinds(begun=HoldStarted, closed=HoldClosed, gauge=_gauge),
)
"""The pressure hold as the record sees it."""
