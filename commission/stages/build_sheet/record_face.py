"""What the record asks of the build sheet."""

from collections.abc import Mapping
from typing import get_args

from commission.base.errors import NotAllowed
from commission.record.build_state import BuildState
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.payload import Payload
from commission.stages.build_sheet.entries import PartAdded, PartRemoved, SheetEntry
from commission.stages.build_sheet.state import apply_sheet


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, SheetEntry)  # the registry asks for these kinds only
    return apply_sheet(state, entry, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str], ascii_only: bool) -> str:
    from commission.stages.build_sheet.text import sheet_text

    assert isinstance(payload, SheetEntry)  # the registry asks for these kinds only
    return sheet_text(payload, ascii_only=ascii_only)


def _refuse_withdrawal(state: BuildState, entry: Logged) -> None:
    """Refuse to withdraw what the loop consists of while a hold runs, as no part is added or taken out then.

    What was left out stays in the verdict whatever is withdrawn.
    """
    if isinstance(entry.payload, PartAdded | PartRemoved) and state.hold.running:
        raise NotAllowed("a pressure hold is running; end it before the loop is changed")


RECORD = RecordFace(
    id="build_sheet",
    kinds=get_args(SheetEntry),
    fold=_fold,
    text=_text,
    refuse_withdrawal=_refuse_withdrawal,
)
"""The build sheet as the record sees it."""
