"""What the entries before pressure add up to: ratings, parts that no pressure reaches, and the source."""

from dataclasses import replace

from commission.record.build_state import BuildState
from commission.record.logged import Logged, Problem
from commission.record.machine.instrument import InstrumentKind
from commission.record.staleness import loop_at_fault, loop_changed
from commission.stages.build_sheet.entries import PartLeftOut, PartRated
from commission.stages.pressure_hold.entries import BenchEntry, SourceIsolated


def apply_bench(state: BuildState, entry: Logged, payload: BenchEntry) -> BuildState:
    """Return the state after an entry about what comes before pressure."""
    match payload:
        case PartRated(part_id=part_id, rating=rating):
            parts = tuple(
                replace(part, max_gauge_pa=rating.si, assumed=tuple(a for a in part.assumed if a != "rating"))
                if part.part_id == part_id
                else part
                for part in state.parts
            )
            state = replace(state, parts=parts)
            return loop_at_fault(state, entry.seq) if _was_above(state, part_id, rating.si) else state
        case PartLeftOut(part_id=part_id, reason=reason):
            left_out = {**state.left_out, part_id: reason}
            return loop_changed(replace(state, left_out=left_out), entry.seq)
        case SourceIsolated(attempt=attempt, how=how):
            hold = state.hold
            if attempt != hold.attempt or hold.started is not None:
                told = f"it speaks of an attempt that is not being prepared (that is {hold.attempt})"
                return replace(state, problems=(*state.problems, Problem(seq=entry.seq, message=told)))
            others = tuple(other for other in state.holds if other.attempt != attempt)
            return replace(state, holds=(*others, replace(hold, source=how)))


def _was_above(state: BuildState, part_id: str, rating_pa: float) -> bool:
    """Return whether the hold judged last put a part under more than its rating [Pa gauge].

    Its pass then goes stale. Our choice: a part that stood above its rating may have suffered where air does not show
    it yet, so the loop is held again, within the rating.
    """
    judged = state.judged_hold
    if judged is None or judged.plan is None or part_id in state.left_out:
        return False
    seen = [judged.plan.target_gauge_pa]
    if judged.plan.gauge.kind is InstrumentKind.GAUGE:
        seen += [timed.reading.pressure.si for timed in judged.readings if timed.reading.pressure is not None]
    return max(seen) > rating_pa
