"""What the record asks of the fill, and of the workshop's bottles."""

from collections.abc import Mapping
from typing import get_args

from commission.procedure.stage_ids import FILL
from commission.record.build_state import BuildState, ShopState
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.payload import Payload
from commission.stages.fill.entries import (
    BottleAdded,
    BottleRetired,
    CoolantPoured,
    FillClosed,
    FillEntry,
)
from commission.stages.fill.state import FillState, Shelf, apply_bottle, apply_fill


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, FillEntry)  # the registry asks for these kinds only
    return apply_fill(state, entry, entry.payload)


def _fold_shop(state: ShopState, entry: Logged) -> ShopState:
    assert isinstance(entry.payload, BottleAdded | BottleRetired)  # the registry asks for these kinds only
    return apply_bottle(state, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str], ascii_only: bool) -> str:
    from commission.stages.fill.text import fill_text

    assert isinstance(payload, FillEntry | BottleAdded | BottleRetired)  # the registry asks for these kinds only
    return fill_text(payload, ascii_only=ascii_only)


RECORD = RecordFace(
    id=FILL,
    kinds=get_args(FillEntry),
    fold=_fold,
    text=_text,
    shop_kinds=(BottleAdded, BottleRetired),
    fold_shop=_fold_shop,
    states=(FillState, Shelf),
    begins=(CoolantPoured,),
    ends=(FillClosed,),
    kept=(FillClosed,),
)
"""The fill as the record sees it."""
