"""What the entries about coolant add up to in a build."""

from dataclasses import replace
from typing import assert_never

from commission.base.clock import elapsed_between
from commission.procedure.stage_ids import BLEED, FILL
from commission.record.build_state import BuildState, LevelSeen, Moved
from commission.record.logged import Logged
from commission.record.staleness import ended_run, put_run, stale_runs, started_run, wetted_anew
from commission.stages.bleed.entries import BleedClosed, BleedCycleDone, BleedStarted
from commission.stages.bleed.model import TimedCycle
from commission.stages.fill.entries import (
    AirSqueezed,
    CoolantDrained,
    CoolantDrawn,
    CoolantEntry,
    CoolantPoured,
    CoolantSpilled,
    FillClosed,
    LevelRead,
    PumpSupplyChosen,
    ReservoirDescribed,
    WaterLost,
    movement_of,
)
from commission.stages.fill.model.coolant import GLYCOLS, Base, Bottle
from commission.stages.fill.model.fill import Movement, Pour

ON_THE_FILL = (BLEED, "first_power", "fan_headers")
"""Stages whose verdicts speak of the loop as it was filled."""


def apply_coolant(  # noqa: PLR0911 - one arm a kind of entry
    state: BuildState, entry: Logged, payload: CoolantEntry
) -> BuildState:
    """Return the state after an entry about coolant."""
    match payload:
        case CoolantPoured() | CoolantDrained() | CoolantSpilled() | CoolantDrawn() | WaterLost():
            moved = movement_of(payload)
            assert moved is not None  # each of these kinds moves something
            return _moved(state, entry, payload.stage, moved)
        case ReservoirDescribed(reservoir=reservoir):
            return replace(state, reservoir=reservoir)
        case LevelRead():
            return replace(state, levels=(*state.levels, LevelSeen(seq=entry.seq, read=payload)))
        case PumpSupplyChosen(supply=supply):
            return replace(state, pump_supply=supply)
        case FillClosed():
            return _ended(state, FILL, entry)
        case BleedStarted():
            run = replace(state.run(BLEED), started=entry)
            return replace(put_run(state, BLEED, run), cycles=())
        case BleedCycleDone():
            return _cycle(state, entry, payload)
        case AirSqueezed(result=result):
            return replace(state, squeezes=(*state.squeezes, result))
        case BleedClosed():
            return _ended(state, BLEED, entry)
        case _ as unreachable:
            assert_never(unreachable)


def _ended(state: BuildState, stage: str, entry: Logged) -> BuildState:
    state = ended_run(state, stage, entry)
    return stale_runs(wetted_anew(state), entry.seq, *ON_THE_FILL) if stage == FILL else state


def _cycle(state: BuildState, entry: Logged, done: BleedCycleDone) -> BuildState:
    started = state.run(BLEED).started
    since = 0.0 if started is None else elapsed_between(started.mark, entry.mark).elapsed_s
    timed = TimedCycle(seq=entry.seq, elapsed_s=since, cycle=done.cycle)
    state = replace(state, cycles=(*state.cycles, timed))
    return state if done.pour is None else _moved(state, entry, BLEED, done.pour)


def _moved(state: BuildState, entry: Logged, stage: str, movement: Movement) -> BuildState:
    """Add a movement; one that is more than a top-up of the same coolant takes the worth of the fill."""
    topping_up = isinstance(movement, Pour) and _same_base(state, movement)
    state = replace(state, moves=(*state.moves, Moved(seq=entry.seq, stage=stage, movement=movement)))
    if stage == FILL:
        state = started_run(state, FILL, entry)
    stages = (BLEED,) if topping_up or stage == FILL else (FILL, *ON_THE_FILL)
    return stale_runs(state, entry.seq, *stages)


def _same_base(state: BuildState, pour: Pour) -> bool:
    """Return whether a pour leaves the kind of coolant as it is: water on top, more of the same, or glycol on water."""
    if pour.bottle.base is Base.WATER:
        return True
    return all(_goes_on(before, pour.bottle) for before in _bottles_in(state))


def _bottles_in(state: BuildState) -> list[Bottle]:
    """Return the bottles that were poured from since the loop was last empty."""
    bottles: list[Bottle] = []
    volume_m3 = 0.0
    for moved in state.moves:
        if isinstance(moved.movement, Pour):
            volume_m3 += moved.movement.dose.volume_m3
            bottles.append(moved.movement.bottle)
            continue
        volume_m3 -= moved.movement.dose.volume_m3
        if volume_m3 <= 0:
            bottles, volume_m3 = [], 0.0
    return bottles


def _goes_on(before: Bottle, bottle: Bottle) -> bool:
    """Return whether a bottle goes on what was poured before without making a mixture that nobody knows."""
    if bottle.base in GLYCOLS:
        return before.base in (bottle.base, Base.WATER)
    return before.base is bottle.base and before.kind == bottle.kind
