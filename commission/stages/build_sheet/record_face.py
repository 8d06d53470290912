"""What the record asks of the build sheet."""

from collections.abc import Callable, Iterable, Mapping
from typing import get_args

from commission.base.errors import NotAllowed
from commission.procedure.model import Procedure
from commission.procedure.stage_ids import BUILD_SHEET, HOLD
from commission.record.build_state import BuildState, ShopState
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.payload import Payload
from commission.record.undoing import Reach, Undoing
from commission.stages.build_sheet.entries import (
    PartAdded,
    PartCorrected,
    PartLeftOut,
    PartRated,
    PartRemoved,
    SheetEntry,
    VolumeMeasured,
)
from commission.stages.build_sheet.state import apply_sheet


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, SheetEntry)  # the registry asks for these kinds only
    return apply_sheet(state, entry, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str]) -> str:
    from commission.stages.build_sheet.text import sheet_text

    assert isinstance(payload, SheetEntry)  # the registry asks for these kinds only
    return sheet_text(payload)


def _refuse_withdrawal(state: BuildState, entry: Logged) -> None:
    """Refuse to withdraw what the loop consists of while a hold runs, as no part is added or taken out then.

    What was left out stays in the verdict whatever is withdrawn.
    """
    if isinstance(entry.payload, PartAdded | PartCorrected | PartRemoved) and state.run(HOLD).running:
        raise NotAllowed("a pressure hold is running; end it before the loop is changed")


def _admit(state: BuildState, _procedure: Procedure, entry: Logged) -> None:
    from commission.stages.build_sheet.work import refuse_correction, refuse_part, refuse_volume

    match entry.payload:
        case PartAdded() | PartRemoved() if state.run(HOLD).running:
            raise NotAllowed("a part is added or removed while a hold runs")
        case PartRated() | PartLeftOut() if state.run(HOLD).running:
            raise NotAllowed("what comes before the start is changed while a hold runs")
        case PartAdded(part=part):
            refuse_part(part)
        case PartCorrected(part=part):
            refuse_correction(state, part)
        case PartRemoved(part_id=part_id) | PartRated(part_id=part_id) | PartLeftOut(part_id=part_id) if all(
            part.part_id != part_id for part in state.parts
        ):
            raise NotAllowed("the loop has no such part")
        case PartRated(rating=rating) if not rating.si > 0:
            raise NotAllowed("a pressure rating must be above 0")
        case PartLeftOut(reason=reason) if not reason.strip():
            raise NotAllowed("leaving a part out of the test needs a reason")
        case VolumeMeasured(volume_m3=volume, u_volume_m3=u):
            refuse_volume(volume, u)
        case _:
            pass


def _copied(
    before: BuildState, now: BuildState, _procedure: Procedure, _shop: ShopState, new_id: Callable[[], str]
) -> Iterable[Payload]:
    from commission.stages.build_sheet.work import parts_like

    return parts_like(before, now, new_id)


RECORD = RecordFace(
    id=BUILD_SHEET,
    kinds=get_args(SheetEntry),
    fold=_fold,
    admit=_admit,
    text=_text,
    refuse_withdrawal=_refuse_withdrawal,
    copied=_copied,
    described=(PartRated, PartLeftOut, PartAdded, PartCorrected),
    undoes=(
        *(Undoing(kind, "", (Change.ANOTHER_LOOP,), Reach.EVERY) for kind in (PartAdded, PartCorrected, PartRemoved)),
        Undoing(PartLeftOut, "", (Change.ANOTHER_LOOP,), Reach.EVERY),
        Undoing(
            PartRated,
            "a part that was left out of the test can be tested now, or the hold stood above the rating",
            (Change.ANOTHER_LOOP, Change.AT_FAULT),
            Reach.EVERY,
        ),
        Undoing(VolumeMeasured, "it is not the volume that was judged by", (Change.AT_FAULT,), Reach.EVERY),
    ),
)
"""The build sheet as the record sees it."""
