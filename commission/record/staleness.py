"""Attempts at a stage: how they begin and end, and what takes away the worth of an earlier verdict."""

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.build_state import BuildState, StageRun
from commission.record.logged import Logged, Problem
from commission.record.machine.change import Change, RestsOnTheLoop
from commission.record.machine.loop import LoopVolume
from commission.record.machine.proof import Proof
from commission.record.taken_back import TakenBack


def put_run(state: BuildState, stage: str, run: StageRun) -> BuildState:
    """Put an attempt in its place among the attempts at a stage."""
    others = tuple(other for other in state.runs.get(stage, ()) if other.attempt != run.attempt)
    return replace(state, runs={**state.runs, stage: (*others, run)})


def shown_run(state: BuildState, stage: str) -> StageRun:
    """Return the attempt at a stage that is under way, else the one that was judged last, else a fresh one."""
    run = state.run(stage)
    return run if run.started is not None else state.judged_run(stage) or run


def started_run(state: BuildState, stage: str, entry: Logged) -> BuildState:
    """Return the state with an attempt under way: this entry began it where nothing did before."""
    run = state.run(stage)
    return state if run.started is not None else put_run(state, stage, replace(run, started=entry))


def ended_run(state: BuildState, stage: str, entry: Logged, *, volume: LoopVolume | None = None) -> BuildState:
    """Return the state with the running attempt ended by an entry, and the volume that it was judged by, if any."""
    run = state.run(stage)
    return put_run(state, stage, replace(run, started=run.started or entry, closed=entry, volume=volume))


def stale_runs(state: BuildState, seq: int, *stages: str, before: int | None = None) -> BuildState:
    """Mark the closed attempts at some stages as stale since an entry.

    Parameters
    ----------
    seq
        Number of the entry that made them so.
    stages
        Ids of the stages concerned.
    before
        Only attempts that were closed after this entry; None for all.
    """

    def marked(run: StageRun) -> StageRun:
        closed_after = run.closed is not None and (before is None or before < run.closed.seq)
        return replace(run, stale_by=run.stale_by or seq) if closed_after else run

    runs = {stage: tuple(map(marked, runs)) if stage in stages else runs for stage, runs in state.runs.items()}
    return replace(state, runs=runs)


def shaken_runs(state: BuildState, seq: int, *stages: str) -> BuildState:
    """Mark the attempts that go on at some stages: an entry changed what they are about, and none of them can pass."""
    for stage in stages:
        run = state.run(stage)
        if run.started is not None and run.started.seq != seq and run.shaken_by is None:
            state = put_run(state, stage, replace(run, shaken_by=seq))
    return state


def restarted_runs(state: BuildState, *stages: str) -> BuildState:
    """Put the attempts that go on at some stages back to their first step: what was done for them is undone."""
    for stage in stages:
        run = state.run(stage)
        fresh = StageRun(attempt=run.attempt, spared=run.spared)
        if run != fresh:
            state = put_run(state, stage, fresh)
    return state


def spared_runs(state: BuildState, taken: TakenBack, *stages: str) -> BuildState:
    """Remember with the attempts at some stages that go on, else were judged last, what was withdrawn."""
    for stage in stages:
        run = state.run(stage) if state.run(stage).running else state.judged_run(stage)
        if run is not None:
            state = put_in_place(state, stage, replace(run, spared=(*run.spared, taken)))
    return state


def put_in_place(state: BuildState, stage: str, run: StageRun) -> BuildState:
    """Put an attempt where the one of its number stands."""
    runs = tuple(run if one.attempt == run.attempt else one for one in state.runs.get(stage, ()))
    return replace(state, runs={**state.runs, stage: runs})


def wetted_again(state: BuildState) -> BuildState:
    """Another loop or another fill: what the pump showed under power no longer speaks of it; cables and rails do."""
    return told(state, Change.ANOTHER_LOOP)


def told(state: BuildState, change: Change) -> BuildState:
    """Return the state after all that the build keeps of its loop heard of a change; its attempts hear of it next."""
    kept = {
        cls: value.after(change) if isinstance(value, RestsOnTheLoop) else value for cls, value in state.states.items()
    }
    return replace(state, states=kept, news=(*state.news, change))


def loop_changed(state: BuildState, seq: int) -> BuildState:
    """Another loop: what was measured, held, filled and bled before no longer speaks of it."""
    held = None if state.held is None else replace(state.held, volume=None)
    return stale_runs(replace(wetted_again(state), measured=None, held=held, loop_seq=seq), seq, *state.runs)


def loop_at_fault(state: BuildState, seq: int) -> BuildState:
    """Take the worth of a hold that had passed, and of all that rests on it, where a fault was found in its loop."""
    tight = state.stage_of(Proof.TIGHT)
    judged = state.judged_run(tight)
    if judged is None or judged.outcome is not Outcome.PASS:
        return state
    others = [stage for stage in state.runs if stage != tight]
    # of the holds only the one that passed proved anything that can fall; one in preparation keeps its place behind it
    fallen = replace(judged, stale_by=judged.stale_by or seq)
    holds = tuple(fallen if hold.attempt == judged.attempt else hold for hold in state.runs[tight])
    return stale_runs(told(replace(state, runs={**state.runs, tight: holds}), Change.AT_FAULT), seq, *others)


def volume_measured(state: BuildState, loop: LoopVolume, seq: int) -> BuildState:
    """Return the state with a volume measured on air, and without the worth of what was judged by another one.

    A hold falls where the volume is larger than it allowed for: each leak is larger by as much. With a smaller one its
    pass stands, and its plan may have counted a hose. What else was judged by a volume falls either way.
    """
    state = replace(state, measured=loop)
    tight = state.stage_of(Proof.TIGHT)
    held, tested, whole = state.judged_run(tight), state.tested_volume, state.volume
    assert tested is not None  # both rest on what was measured
    assert whole is not None
    if held is not None and held.volume is not None and tested.volume_m3 > held.volume.most_m3:
        state = loop_at_fault(state, seq)
    stages = [stage for stage in state.runs if stage != tight]
    judged = [run.volume for stage in stages if (run := state.judged_run(stage)) is not None and run.volume is not None]
    if all(volume.least_m3 <= whole.volume_m3 <= volume.most_m3 for volume in judged):
        return state
    return stale_runs(told(state, Change.AT_FAULT), seq, *stages)


def withdrawn_before(state: BuildState, target: int, seq: int) -> BuildState:
    """Mark a verdict as stale where an entry that it may rest on was withdrawn after it."""
    return stale_runs(state, seq, *state.runs, before=target)


def with_problem(state: BuildState, seq: int, message: str) -> BuildState:
    """Return the state with an entry that does not fit, and why."""
    return replace(state, problems=(*state.problems, Problem(seq=seq, message=message)))
