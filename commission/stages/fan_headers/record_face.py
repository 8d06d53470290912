"""What the record asks of headers, chains and sweeps."""

from collections.abc import Mapping
from typing import get_args

from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.build_state import BuildState
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.payload import Payload
from commission.stages.fan_headers.entries import HeadersClosed, HeadersEntry, SweepBegun
from commission.stages.fan_headers.state import FanHeadersState, apply_headers, sweep_taken_back
from commission.stages.fan_headers.text import names_in


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, HeadersEntry)  # the registry asks for these kinds only
    return apply_headers(state, entry, entry.payload)


def _text(payload: Payload, names: Mapping[str, str], _ascii_only: bool) -> str:
    from commission.stages.fan_headers.text import headers_text

    assert isinstance(payload, HeadersEntry)  # the registry asks for these kinds only
    return headers_text(payload, names=names)


RECORD = RecordFace(
    id=FAN_HEADERS,
    kinds=get_args(HeadersEntry),
    fold=_fold,
    text=_text,
    names=names_in,
    begins=(SweepBegun,),
    ends=(HeadersClosed,),
    kept=(HeadersClosed,),
    states=(FanHeadersState,),
    taken_back=sweep_taken_back,
)
"""Headers, chains and sweeps as the record sees them."""
