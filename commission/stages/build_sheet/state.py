"""What the entries about parts add up to: the loop, its ratings, what no pressure reaches, its measured volume."""

from typing import assert_never

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.stage_ids import HOLD
from commission.record.build_state import BuildState
from commission.record.logged import Logged
from commission.record.machine.loop import LoopVolume
from commission.record.staleness import loop_at_fault, loop_changed, volume_measured
from commission.stages.build_sheet.entries import (
    PartAdded,
    PartCorrected,
    PartLeftOut,
    PartRated,
    PartRemoved,
    SheetEntry,
    VolumeMeasured,
)


def apply_sheet(state: BuildState, entry: Logged, payload: SheetEntry) -> BuildState:
    """Return the state after an entry about the loop."""
    match payload:
        case PartAdded(part=part):
            return loop_changed(replace(state, parts=(*state.parts, part)), entry.seq)
        case PartCorrected(part=right):
            parts = tuple(right if part.part_id == right.part_id else part for part in state.parts)
            return loop_changed(replace(state, parts=parts), entry.seq)
        case PartRemoved(part_id=part_id):
            parts = tuple(part for part in state.parts if part.part_id != part_id)
            return loop_changed(replace(state, parts=parts, opened=(*state.opened, entry)), entry.seq)
        case VolumeMeasured(volume_m3=volume, u_volume_m3=u):
            loop = LoopVolume(volume_m3=volume, u_volume_m3=u, basis="measured on air")
            return volume_measured(state, loop, entry.seq)
        case PartRated():
            return _rated(state, entry, payload)
        case PartLeftOut(part_id=part_id, reason=reason):
            left_out = {**state.left_out, part_id: reason}
            return loop_changed(replace(state, left_out=left_out), entry.seq)
        case _ as unreachable:
            assert_never(unreachable)


def _rated(state: BuildState, entry: Logged, rated: PartRated) -> BuildState:
    parts = tuple(
        replace(part, max_gauge_pa=rated.rating.si, assumed=tuple(a for a in part.assumed if a != "rating"))
        if part.part_id == rated.part_id
        else part
        for part in state.parts
    )
    state = replace(state, parts=parts)
    if _can_be_tested_now(state, rated.part_id):
        left_out = {part_id: reason for part_id, reason in state.left_out.items() if part_id != rated.part_id}
        return loop_changed(replace(state, left_out=left_out), entry.seq)
    return loop_at_fault(state, entry.seq) if _was_above(state, rated.part_id, rated.rating.si) else state


def _was_above(state: BuildState, part_id: str, rating_pa: float) -> bool:
    """Return whether the hold judged last put a part under more than its rating [Pa gauge].

    Its pass then goes stale. Our choice: a part that stood above its rating may have suffered where air does not show
    it yet, so the loop is held again, within the rating.
    """
    return state.held is not None and part_id not in state.left_out and state.held.gauge_pa > rating_pa


def _can_be_tested_now(state: BuildState, part_id: str) -> bool:
    """Return whether a part that is rated now was not tested by the hold that stands, and still can be.

    Our choice: it is in the test again, and the pass falls while the loop is dry. With coolant in it another hold costs
    all of that, and a rating may be typed for a squeeze: then the pass stands, and says that the part was not tested.
    """
    judged, held = state.judged_run(HOLD), state.held
    if held is None or judged is None or judged.closed is None or part_id not in state.left_out:
        return False
    if judged.outcome is not Outcome.PASS or judged.stale_by is not None:
        return False
    named = any(part.part_id == part_id and part.name in held.left_out for part in state.parts)
    return named and all(entry.seq < judged.closed.seq for entry in state.wetted)
