"""What the entries about coolant add up to in a build."""

from typing import assert_never

from commission.base.clock import ClockMark
from commission.base.frozen import Frozen, replace
from commission.procedure.stage_ids import FILL
from commission.record.build_state import BuildState, ShopState
from commission.record.done_at import done_mark
from commission.record.entries import Withdrawn
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.mishap import Mishap, WentWrong
from commission.record.staleness import ended_run, started_run, told
from commission.record.taken_back import TakenBack
from commission.stages.fill.entries import (
    BottleAdded,
    BottleRetired,
    CoolantDrained,
    CoolantDrawn,
    CoolantPoured,
    CoolantSpilled,
    FillClosed,
    FillEntry,
    LevelRead,
    PumpSupplyChosen,
    ReservoirDescribed,
    WaterLost,
    movement_of,
)
from commission.stages.fill.model.coolant import GLYCOLS, Base, Bottle
from commission.stages.fill.model.fill import (
    Drain,
    Evaporation,
    Movement,
    Pour,
    Reservoir,
    Spill,
    SyringeOut,
    beside,
    guessed_dose,
)


class Moved(Frozen):
    """Something that went into or out of the loop."""

    seq: int
    """Number of its entry."""
    stage: str
    """Stage during which it happened."""
    movement: Movement
    """What went where."""


_WENT = {Pour: "added", Drain: "drained", Spill: "spilled", SyringeOut: "drawn off", Evaporation: "lost as vapour"}


class LostMove(Frozen):
    """An amount that was withdrawn."""

    moved: Moved
    """What it said."""
    attempt: int
    """Which attempt at the fill it was told in, or followed."""
    reason: str
    """Why it was withdrawn, as typed."""

    @property
    def taken_back(self) -> TakenBack:
        """The same in a few words."""
        movement = self.moved.movement
        what = f"{round(1e6 * movement.dose.volume_m3, 1):g} mL {_WENT[type(movement)]}"
        return TakenBack(seq=self.moved.seq, what=what, reason=self.reason)


class LevelSeen(Frozen):
    """A level that was read."""

    seq: int
    """Number of its entry."""
    mark: ClockMark
    """The clocks when it was read."""
    read: LevelRead
    """What was read."""


class LostLevel(Frozen):
    """A level that was withdrawn."""

    seen: LevelSeen
    """What it said."""
    reason: str
    """Why it was withdrawn, as typed."""


class FillState(Frozen):
    """What the fill keeps of a build: of coolant at any stage."""

    moves: tuple[Moved, ...] = ()
    """Everything that went into or out of the loop, in order."""
    lost: tuple[LostMove, ...] = ()
    """Amounts that were withdrawn, in order."""
    reservoir: Reservoir | None = None
    """The straight part of the reservoir; None until it was described."""
    levels: tuple[LevelSeen, ...] = ()
    """Levels that were read, in order."""
    lost_levels: tuple[LostLevel, ...] = ()
    """Levels that were withdrawn, in order."""
    unknown_out: int = 0
    """The last entry that says that coolant ran out, and not how much; 0 where there is none."""

    @property
    def amount_unknown(self) -> bool:
        """Whether nobody knows how much is in: neither a level was read nor an amount told since coolant ran out."""
        out = (one.seq for one in self.moves if not (isinstance(one.movement, Pour) or beside(one.movement)))
        return self.unknown_out > max((*out, *(one.seq for one in self.levels)), default=0)

    @property
    def movements(self) -> tuple[Movement, ...]:
        """What went into or out of the loop, in order."""
        return tuple(moved.movement for moved in self.moves)

    def after(self, change: Change) -> "FillState":
        """Return what still holds after a change of the loop: one that is held on air is empty, and so is its level."""
        if change is not Change.HELD_ON_AIR:
            return self
        return replace(self, moves=(), lost=(), levels=(), lost_levels=(), unknown_out=0)


class Shelf(Frozen):
    """What the fill keeps in the workshop."""

    bottles: tuple[Bottle, ...] = ()
    """Bottles in use."""


def apply_bottle(state: ShopState, payload: BottleAdded | BottleRetired) -> ShopState:
    """Return the workshop after an entry about a bottle; one that is described again keeps its place."""
    bottles = {one.bottle_id: one for one in state.of(Shelf).bottles}
    match payload:
        case BottleAdded(bottle=bottle):
            bottles[bottle.bottle_id] = bottle
        case BottleRetired(bottle_id=bottle_id):
            bottles.pop(bottle_id, None)
        case _ as unreachable:
            assert_never(unreachable)
    return state.with_(Shelf(bottles=tuple(bottles.values())))


def apply_fill(state: BuildState, entry: Logged, payload: FillEntry) -> BuildState:
    """Return the state after an entry about coolant."""
    match payload:
        case CoolantPoured() | CoolantDrained() | CoolantSpilled() | CoolantDrawn() | WaterLost():
            movement = movement_of(payload)
            assert movement is not None  # each of these kinds moves something
            return moved(state, entry, payload.stage, movement)
        case ReservoirDescribed(reservoir=reservoir):
            return state.with_(replace(state.of(FillState), reservoir=reservoir))
        case LevelRead():
            kept, seen = state.of(FillState), LevelSeen(seq=entry.seq, mark=done_mark(entry), read=payload)
            return replace(state, level_read=entry.seq).with_(replace(kept, levels=(*kept.levels, seen)))
        case PumpSupplyChosen(supply=supply):
            return replace(state, pump_supply=supply)
        case FillClosed():
            return told(ended_run(state, FILL, entry, volume=state.volume), Change.ANOTHER_LOOP)
        case _ as unreachable:
            assert_never(unreachable)


def amount_taken_back(state: BuildState, entry: Logged, withdrawal: Logged) -> BuildState:
    """Return the state after a withdrawn entry: an amount or a level no longer counts, and is not forgotten."""
    said, payload = withdrawal.payload, entry.payload
    assert isinstance(said, Withdrawn)  # the fold looked it up
    if isinstance(payload, LevelRead):
        kept, seen = state.of(FillState), LevelSeen(seq=entry.seq, mark=done_mark(entry), read=payload)
        gone = LostLevel(seen=seen, reason=said.reason)
        return state.with_(replace(kept, lost_levels=(*kept.lost_levels, gone)))
    if not isinstance(payload, CoolantPoured | CoolantDrained | CoolantSpilled | CoolantDrawn | WaterLost):
        return state
    movement = movement_of(payload)
    assert movement is not None  # each of these kinds moves something
    moved = Moved(seq=entry.seq, stage=payload.stage, movement=movement)
    lost = LostMove(moved=moved, attempt=state.run(FILL).attempt, reason=said.reason)
    kept = state.of(FillState)
    return state.with_(replace(kept, lost=(*kept.lost, lost)))


def _told_in(kept: FillState) -> float:
    """Return what is in the loop by the amounts that were told [m3], at the temperature of each."""
    within = (one for one in kept.movements if not beside(one))
    return sum(one.dose.volume_m3 if isinstance(one, Pour) else -one.dose.volume_m3 for one in within)


def moved(state: BuildState, entry: Logged, stage: str, movement: Movement) -> BuildState:
    """Add a movement; one that is more than a top-up of the same coolant takes the worth of the fill.

    What was spilled beside the filler never was in the loop: only the balance knows of it.
    """
    kept = state.of(FillState)
    topping_up = isinstance(movement, Pour) and same_base(kept, movement)
    state = state.with_(replace(kept, moves=(*kept.moves, Moved(seq=entry.seq, stage=stage, movement=movement))))
    if beside(movement):
        return state
    state = replace(state, coolant_m3=_told_in(state.of(FillState)))
    if not isinstance(movement, Evaporation):  # nobody did that to the loop
        state = replace(state, wetted=(*state.wetted, entry))
    if stage == FILL:
        state = started_run(state, FILL, entry)
    return told(state, Change.TOP_UP if topping_up or stage == FILL else Change.LIQUID)


def mishap_in(state: BuildState, entry: Logged, wrong: WentWrong) -> BuildState:
    """Return the state after a mishap: a spill of a known amount goes into the balance, and a burst loop lost coolant.

    What came from the bottle is taken off what was counted as poured; where nothing was, there is nothing to take off.
    How much ran out of the loop is asked where it was not said; a repair, told later, lets nothing out.
    """
    kept = state.of(FillState)
    ran_out = isinstance(entry.payload, WentWrong) and wrong.what is not Mishap.SMOKE
    if ran_out and wrong.amount is None and kept.moves and not wrong.from_bottle:
        kept = replace(kept, unknown_out=entry.seq)
        state = state.with_(kept)
    if wrong.what is Mishap.BURST and kept.moves:
        return told(state, Change.LEAKED)
    if wrong.what is not Mishap.SPILL or not wrong.amount or not wrong.amount.si or not kept.moves:
        return state
    poured = [one.movement.bottle for one in kept.moves if isinstance(one.movement, Pour)]
    if wrong.from_bottle and not poured:
        return state
    movement = Spill(dose=guessed_dose(wrong.amount), bottle=poured[-1] if wrong.from_bottle else None, note=wrong.seen)
    state = state.with_(replace(kept, moves=(*kept.moves, Moved(seq=entry.seq, stage="", movement=movement))))
    return state if wrong.from_bottle else replace(state, wetted=(*state.wetted, entry))


def same_base(state: FillState, pour: Pour) -> bool:
    """Return whether a pour leaves the kind of coolant as it is: water on top, more of the same, or glycol on water."""
    if pour.bottle.base is Base.WATER:
        return True
    return all(_goes_on(before, pour.bottle) for before in _bottles_in(state))


def same_coolant(state: FillState, pour: Pour) -> bool:
    """Return whether a pour is no more than a top-up on a visit: first glycol in plain water is another coolant."""
    inside = [one.base for one in _bottles_in(state)]
    first_glycol = pour.bottle.base in GLYCOLS and bool(inside) and not any(one in GLYCOLS for one in inside)
    return same_base(state, pour) and not first_glycol


def _bottles_in(state: FillState) -> list[Bottle]:
    """Return the bottles that were poured from since the loop was last empty."""
    bottles: list[Bottle] = []
    volume_m3 = 0.0
    for movement in state.movements:
        if isinstance(movement, Pour):
            volume_m3 += movement.dose.volume_m3
            bottles.append(movement.bottle)
            continue
        volume_m3 -= movement.dose.volume_m3
        if volume_m3 <= 0:
            bottles, volume_m3 = [], 0.0
    return bottles


def _goes_on(before: Bottle, bottle: Bottle) -> bool:
    """Return whether a bottle goes on what was poured before without making a mixture that nobody knows."""
    if bottle.base in GLYCOLS:
        return before.base in (bottle.base, Base.WATER)
    return before.base is bottle.base and before.kind == bottle.kind
