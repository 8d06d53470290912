"""What the levels of a build say that is gone since its air was out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.clock import ClockMark, elapsed_between
from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.bench.figures import millilitres
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
    from commission.stages.fill.judge.liquid import Liquid

AFTER_ALL = 2**62
"""A number of an entry behind every one that there is; our choice: no logbook gets so long."""


def gone_since_the_bleed(state: BuildState) -> float:
    """Return what is surely gone, beyond what is usual, since the first level after the bleed [m3]; 0 where nothing is.

    Before the bleed has passed a level falls as air leaves the loop; after it only a leak or bound air lowers it.
    """
    from commission.stages.fill.judge.level_fell import surely_gone

    pair = _since_the_bleed(state)
    missing = None if pair is None else _missing(state, *pair, _liquid(state))
    return 0.0 if pair is None or missing is None else surely_gone(missing, _apart_s(*pair))


def hidden_without_warmth(state: BuildState) -> tuple[float, float] | None:
    """Return by how much the level fell since the bleed, and how much of that a temperature not read may explain [m3].

    None where both temperatures were read, or the fall is none, or too large for that.
    """
    from commission.stages.fill.judge.level_fell import USUAL_M3, USUAL_M3_S, surely_gone
    from commission.statistics.conformity import guard_band

    pair = _since_the_bleed(state)
    if pair is None or all(one.read.coolant is not None for one in pair):
        return None
    missing, apart_s = _missing(state, *pair, _liquid(state)), _apart_s(*pair)
    if missing is None or surely_gone(missing, apart_s) or missing.value <= USUAL_M3 + USUAL_M3_S * apart_s:
        return None
    return missing.value, guard_band(missing.u)


def _since_the_bleed(state: BuildState) -> tuple[LevelSeen, LevelSeen] | None:
    """Return the first and the last level since the air was out; None where there are no two."""
    from_seq = _air_out_since(state)
    since = [] if from_seq is None else [one for one in state.of(FillState).levels if one.seq > from_seq]
    return (since[0], since[-1]) if len(since) > 1 else None


def _apart_s(first: LevelSeen, last: LevelSeen) -> float:
    return max(0.0, elapsed_between(first.mark, last.mark).elapsed_s)


def sure_falls(state: BuildState, began: int, before: float) -> list[tuple[int, int, float]]:
    """Return what is missing for sure at each level of an attempt, after each one before it, in order [m3].

    Each as the numbers of the two levels, and the amount above 0. A level from before the attempt counts where no
    coolant moved behind it.

    Parameters
    ----------
    began, before
        The first entry of the attempt, and the one before which it ended [1].
    """
    from commission.statistics.conformity import guard_band

    kept = state.of(FillState)
    moved_last = max((one.seq for one in kept.moves if one.seq < began and not beside(one.movement)), default=0)
    levels = [one for one in kept.levels if moved_last < one.seq < before]
    found, liquid = [], _liquid(state) if len(levels) > 1 else None
    for sooner, later in ((a, b) for n, b in enumerate(levels) for a in levels[:n]):
        missing = _missing(state, sooner, later, liquid)
        if missing is not None and (sure := missing.value - guard_band(missing.u)) > 0:
            found.append((sooner.seq, later.seq, sure))
    return found


def _liquid(state: BuildState) -> Liquid | None:
    """Return what is in the loop; None where nothing is, or less, since a pour was withdrawn."""
    from commission.stages.fill.judge.liquid import liquid_in
    from commission.stages.fill.judge.mixture import fold_movements

    return liquid_in(fold_movements(state.of(FillState).movements)[-1].coolant) if state.coolant_m3 > 0 else None


def _missing(state: BuildState, sooner: LevelSeen, later: LevelSeen, liquid: Liquid | None) -> Uncertain | None:
    """Return what is missing at a level after another one [m3]; None where the two cannot be compared."""
    from commission.stages.fill.judge.level_fell import missing_between

    kept = state.of(FillState)
    if kept.reservoir is None or liquid is None:
        return None
    try:
        before, after = _shown(kept.reservoir, sooner), _shown(kept.reservoir, later)
    except InputError:  # the reservoir was described again, and does not reach so far
        return None
    return missing_between(before, after, moved_between(kept, sooner.seq, later.seq), state.coolant_m3, liquid)


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


def hidden_by(state: BuildState, read: LevelRead, mark: ClockMark) -> str:
    """Return what a level hides since a temperature was not read, in words, were it recorded now; empty where nothing.

    It says how much of the fall may be the coolant's warmth alone.
    """
    kept = state.of(FillState)
    seen = LevelSeen(seq=AFTER_ALL, mark=mark, read=read)
    hidden = hidden_without_warmth(state.with_(replace(kept, levels=(*kept.levels, seen))))
    if hidden is None:
        return ""
    fell, most = map(millilitres, hidden)
    return f"{fell} less than after the bleed; a temperature was not read, so up to {most} may be warmth: type it, too"


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


def _shown(reservoir: Reservoir, seen: LevelSeen) -> Shown:
    from commission.stages.fill.judge.level import content_below
    from commission.stages.fill.judge.level_fell import Shown

    at_k = None if seen.read.coolant is None else seen.read.coolant.si
    return Shown(content_m3=content_below(reservoir, seen.read.level.si), at_k=at_k)
