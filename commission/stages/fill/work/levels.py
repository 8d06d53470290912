"""What the levels of a build say that is gone since its air was out."""

import math
from typing import TYPE_CHECKING

from commission.base.clock import ClockMark, elapsed_between
from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.physics.loop_volume import Uncertain
from commission.procedure.stage_ids import BLEED, FILL, THERMAL_SOAK
from commission.record.build_state import BuildState
from commission.record.locks import counts
from commission.stages.fill.entries import LevelRead
from commission.stages.fill.model.fill import Pour, Reservoir, beside
from commission.stages.fill.state import FillState, LevelSeen
from commission.stages.fill.work.judged import more_than_fits

if TYPE_CHECKING:
    from commission.stages.fill.judge.level_fell import Shown

AFTER_ALL = 2**62
"""A number of an entry behind every one that there is; our choice: no logbook gets so long."""


def gone_since_the_bleed(state: BuildState) -> float:
    """Return what is surely gone, beyond what is usual, since the first level after the bleed [m3]; 0 where nothing is.

    Before the bleed has passed a level falls as air leaves the loop; after it only a leak or bound air lowers it.
    """
    kept = state.of(FillState)
    from_seq = _air_out_since(state)
    if from_seq is None or kept.reservoir is None:
        return 0.0
    since = [one for one in kept.levels if one.seq > from_seq]
    if len(since) < 2 or state.coolant_m3 <= 0:  # nothing, or less, where a pour was withdrawn since
        return 0.0
    from commission.stages.fill.judge.level_fell import missing_between, surely_gone
    from commission.stages.fill.judge.liquid import liquid_in
    from commission.stages.fill.judge.mixture import fold_movements

    first, last = since[0], since[-1]
    try:
        before, after = (_shown(kept.reservoir, one) for one in (first, last))
    except InputError:  # the reservoir was described again, and does not reach so far
        return 0.0
    liquid = liquid_in(fold_movements(kept.movements)[-1].coolant)
    missing = missing_between(before, after, moved_between(kept, first.seq, last.seq), state.coolant_m3, liquid)
    return surely_gone(missing, elapsed_between(first.mark, last.mark).elapsed_s)


def undone_by(state: BuildState, read: LevelRead, mark: ClockMark) -> str:
    """Return what a level would take, in words, were it recorded now; empty where nothing.

    As a level is folded: asked before it is stored, since one slip with a ruler would lock all that rests on the fill.
    """
    kept = state.of(FillState)
    seen = LevelSeen(seq=AFTER_ALL, mark=mark, read=read)
    then = state.with_(replace(kept, levels=(*kept.levels, seen)))
    if counts(state, FILL) and more_than_fits(then):
        return "by it more went in than fits; fill, and what rests on it, would no longer count"
    if not state.run(THERMAL_SOAK).running and gone_since_the_bleed(then):
        return "by it coolant is gone since the bleed; what rests on that would no longer count"
    return ""


def _air_out_since(state: BuildState) -> int | None:
    """Return the entry behind which no air is in the loop by what passed and still counts; None where none says so."""
    bled, soaked = state.judged_run(BLEED), state.judged_run(THERMAL_SOAK)
    if bled is not None and bled.closed is not None and counts(state, BLEED):
        return bled.closed.seq
    if soaked is not None and soaked.started is not None and counts(state, THERMAL_SOAK):
        return soaked.started.seq  # of a loop that was bled elsewhere
    return None


def moved_between(fill: FillState, after: float, before: float) -> Uncertain:
    """Return what went into the loop between two entries, less what went out [m3]."""
    found = [one.movement for one in fill.moves if after < one.seq < before and not beside(one.movement)]
    total = sum(one.dose.volume_m3 if isinstance(one, Pour) else -one.dose.volume_m3 for one in found)
    shared = sum(one.dose.u_shared_m3 for one in found)
    return Uncertain(total, math.hypot(shared, *(one.dose.u_reading_m3 for one in found)))


def _shown(reservoir: Reservoir, seen: LevelSeen) -> "Shown":
    from commission.stages.fill.judge.level import content_below
    from commission.stages.fill.judge.level_fell import Shown

    at_k = None if seen.read.coolant is None else seen.read.coolant.si
    return Shown(content_m3=content_below(reservoir, seen.read.level.si), at_k=at_k)
