"""What the record asks of the dust filters."""

from collections.abc import Mapping
from typing import get_args

from commission.procedure.model import Procedure
from commission.record.build_state import BuildState
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.payload import Payload
from tests.toy_stage.entries import FiltersClosed, FilterSeated, FiltersEntry
from tests.toy_stage.model import STAGE
from tests.toy_stage.state import FiltersState, apply_filters
from tests.toy_stage.text import filters_text
from tests.toy_stage.work import refuse_gap


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, FiltersEntry)
    return apply_filters(state, entry, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str]) -> str:
    assert isinstance(payload, FiltersEntry)
    return filters_text(payload)


def _admit(_state: BuildState, _procedure: Procedure, entry: Logged) -> None:
    if isinstance(entry.payload, FilterSeated):
        refuse_gap(entry.payload.gap_m)


RECORD = RecordFace(
    id=STAGE,
    kinds=get_args(FiltersEntry),
    fold=_fold,
    admit=_admit,
    text=_text,
    states=(FiltersState,),
    ends=(FiltersClosed,),
    kept=(FiltersClosed,),
)
