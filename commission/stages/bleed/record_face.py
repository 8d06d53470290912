"""What the record asks of the bleed."""

from collections.abc import Mapping
from typing import get_args

from commission.procedure.stage_ids import BLEED
from commission.record.build_state import BuildState
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.payload import Payload
from commission.stages.bleed.entries import BleedClosed, BleedEntry, BleedStarted
from commission.stages.bleed.state import BleedState, apply_bleed


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, BleedEntry)  # the registry asks for these kinds only
    return apply_bleed(state, entry, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str], ascii_only: bool) -> str:
    from commission.stages.bleed.text import bleed_text

    assert isinstance(payload, BleedEntry)  # the registry asks for these kinds only
    return bleed_text(payload, ascii_only=ascii_only)


RECORD = RecordFace(
    id=BLEED,
    kinds=get_args(BleedEntry),
    fold=_fold,
    text=_text,
    states=(BleedState,),
    begins=(BleedStarted,),
    ends=(BleedClosed,),
    kept=(BleedStarted, BleedClosed),
)
"""The bleed as the record sees it."""
