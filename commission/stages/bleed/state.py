"""What the entries of a bleed add up to in a build."""

from typing import assert_never

from commission.base.clock import elapsed_between
from commission.base.frozen import Frozen, replace
from commission.base.verdict import Outcome
from commission.procedure.stage_ids import BLEED
from commission.record.build_state import BuildState
from commission.record.done_at import done_mark, restarted_between
from commission.record.entries import Withdrawn
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.staleness import ended_run, put_run, told
from commission.stages.bleed.entries import AirSqueezed, BleedClosed, BleedCycleDone, BleedEntry, BleedStarted
from commission.stages.bleed.model import SqueezeResult, TimedCycle
from commission.stages.fill.state import moved


class LostCycle(Frozen):
    """A cycle that was withdrawn."""

    timed: TimedCycle
    """The cycle."""
    reason: str
    """Why it was withdrawn, as typed."""


class BleedState(Frozen):
    """What the bleed keeps of a build."""

    cycles: tuple[TimedCycle, ...] = ()
    """Cycles of the bleed that goes on or was judged last, in order."""
    squeezes: tuple[SqueezeResult, ...] = ()
    """What squeezing told, in order."""
    lost: tuple[LostCycle, ...] = ()
    """Cycles of that bleed that were withdrawn, in order."""
    restarted: bool = False
    """Whether the computer was restarted between its start and a cycle."""


def apply_bleed(state: BuildState, entry: Logged, payload: BleedEntry) -> BuildState:
    """Return the state after an entry of a bleed."""
    match payload:
        case BleedStarted():
            run = replace(state.run(BLEED), started=entry)
            return put_run(state, BLEED, run).with_(replace(state.of(BleedState), cycles=(), lost=(), restarted=False))
        case BleedCycleDone():
            return _cycle(state, entry, payload)
        case AirSqueezed(result=result):
            kept = state.of(BleedState)
            return state.with_(replace(kept, squeezes=(*kept.squeezes, result)))
        case BleedClosed(verdict=verdict):
            ended = ended_run(state, BLEED, entry)
            return told(ended, Change.AIR_LEFT) if verdict.outcome is Outcome.FAIL else ended
        case _ as unreachable:
            assert_never(unreachable)


def _cycle(state: BuildState, entry: Logged, done: BleedCycleDone) -> BuildState:
    started = state.run(BLEED).started
    kept = state.of(BleedState)
    restarted = kept.restarted or restarted_between(started, entry)
    state = state.with_(replace(kept, cycles=(*kept.cycles, _timed(state, entry, done)), restarted=restarted))
    if done.pour is not None:
        return moved(state, entry, BLEED, done.pour)
    # a level that dropped was not steady for whoever watches it meanwhile
    dropped = done.cycle.gone_m3 > done.cycle.resolution_m3
    return replace(state, wetted=(*state.wetted, entry)) if dropped else state


def _timed(state: BuildState, entry: Logged, done: BleedCycleDone) -> TimedCycle:
    started = state.run(BLEED).started
    since = 0.0 if started is None else elapsed_between(done_mark(started), done_mark(entry)).elapsed_s
    return TimedCycle(seq=entry.seq, elapsed_s=since, cycle=done.cycle)


def cycle_taken_back(state: BuildState, entry: Logged, withdrawal: Logged) -> BuildState:
    """Return the state after a withdrawn entry: a cycle no longer counts, and is not forgotten."""
    said = withdrawal.payload
    assert isinstance(said, Withdrawn)  # the fold looked it up
    if not isinstance(entry.payload, BleedCycleDone):
        return state
    kept, lost = state.of(BleedState), LostCycle(timed=_timed(state, entry, entry.payload), reason=said.reason)
    return state.with_(replace(kept, lost=(*kept.lost, lost)))
