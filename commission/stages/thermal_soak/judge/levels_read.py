"""Which two levels of a soak are compared: the last before its first reading, the last behind that.

A table is filed once its time has passed, often behind the level that was read once cold: that level lies behind it.
"""

import math
from collections.abc import Sequence

from commission.base.clock import elapsed_between
from commission.record.build_state import BuildState, StageRun
from commission.record.done_at import done_mark
from commission.stages.fill.judge.level import content_below
from commission.stages.fill.state import FillState, LevelSeen
from commission.stages.fill.work.levels import moved_between
from commission.stages.thermal_soak.judge.cold_level import evaluate_cold_level
from commission.stages.thermal_soak.model import ColdLevel
from commission.stages.thermal_soak.state import SoakState


def levels_of(state: BuildState, run: StageRun) -> tuple[LevelSeen, ...]:
    """Return the levels that were read since an attempt began, up to its end."""
    if run.started is None:
        return ()
    last = math.inf if run.closed is None else run.closed.seq
    return tuple(one for one in state.of(FillState).levels if run.started.seq < one.seq < last)


def before_and_after(state: BuildState, run: StageRun) -> tuple[LevelSeen | None, LevelSeen | None]:
    """Return the level before the first reading and the last one behind it, each with its temperature."""
    known = [one for one in levels_of(state, run) if one.read.coolant is not None]
    behind = [one for one in known if _behind_readings(one, state.of(SoakState), run)]
    return _last([one for one in known if one not in behind]), _last(behind)


def _behind_readings(level: LevelSeen, soak: SoakState, run: StageRun) -> bool:
    """Return whether a level lies behind the readings filed first, by the order of the entries or by the clock."""
    if run.started is None or not soak.taken:
        return False
    first = soak.taken[0]
    at_s = elapsed_between(done_mark(run.started), level.mark).elapsed_s
    return level.seq > first.seq or any(at_s > one.elapsed_s for one in first.readings[-1:])


def cold_level_of(state: BuildState, run: StageRun) -> ColdLevel | None:
    """Return what is missing after cooling; None where two levels, the reservoir or the loop's content are not known.

    Where coolant ran out and nobody knows how much, the leak itself is in the record, and this tells nothing.
    """
    before, after = before_and_after(state, run)
    fill = state.of(FillState)
    volume = state.coolant_m3 or (0.0 if state.volume is None else state.volume.volume_m3)
    if before is None or after is None or fill.reservoir is None or not volume or fill.unknown_out > before.seq:
        return None
    assert before.read.coolant is not None  # only such were looked at
    assert after.read.coolant is not None
    try:
        return evaluate_cold_level(
            content_below(fill.reservoir, before.read.level.si),
            before.read.coolant.si,
            content_below(fill.reservoir, after.read.level.si),
            after.read.coolant.si,
            moved_m3=moved_between(fill, before.seq, after.seq),
            content_m3=volume,
            plan=state.of(SoakState).plan,
        )
    except ValueError:  # no coolant is liquid there
        return None


def _last(levels: Sequence[LevelSeen]) -> LevelSeen | None:
    return levels[-1] if levels else None
