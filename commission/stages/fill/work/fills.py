"""The fill in the log: bottles, pours and everything else that moves coolant, and what the total proves."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed, UnknownName, in_words
from commission.base.frozen import replace
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.procedure.stage_ids import FILL
from commission.record.asked import asked
from commission.record.build_state import BuildState
from commission.record.entries import Withdrawn
from commission.record.fold import withdrawn_numbers
from commission.record.locks import as_refusal, bridge_lock, refuse_pump
from commission.record.logged import Logged
from commission.record.record import SHOP, Record
from commission.record.stage_work import StageWork, hold_runs, refuse_unanswered
from commission.record.staleness import shown_run
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
)
from commission.stages.fill.model.coolant import Bottle, check_bottle
from commission.stages.fill.model.fill import (
    Dose,
    Drain,
    Evaporation,
    FillVerdict,
    HeadspaceReport,
    Movement,
    Pour,
    Reservoir,
    Spill,
    SyringeOut,
)
from commission.stages.fill.state import FillState, Shelf
from commission.stages.fill.work.judged import (
    LOOK_STEP,
    headspace_report,
    judge_fill,
    looked_too_early,
    poured_last,
    refuse_too_empty,
    told_of_amounts,
    with_steps_open,
    with_supply_unsaid,
)
from commission.stages.fill.work.losses import refuse_made_up
from commission.units.show import show

if TYPE_CHECKING:
    from commission.stages.fill.judge.liquid import Liquid

PUMP_STEP = "bursts"
"""The step of the fill in which the pump runs."""
STEPS_OF_A_PASS = ("first_fill", "bursts", LOOK_STEP)
"""The steps without which a fill is no pass: the amounts alone do not say that anybody looked for drips."""
OF_A_FILL = (When.BEFORE_POURING, When.LAYING_OUT, When.POURING, When.LOOKING)
"""The moments of a fill whose cautions are printed where nobody can be asked: all but those about the pump."""


class Fills(StageWork):
    """The use cases of the fill, and of coolant at any later stage."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, FILL)
        self._judged: tuple[BuildState, FillVerdict] | None = None

    @property
    def bottles(self) -> tuple[Bottle, ...]:
        """Bottles of the workshop that are in use."""
        return self.book.shop().of(Shelf).bottles

    # --- bottles ------------------------------------------------------------------------------------------------

    def add_bottle(self, bottle: Bottle) -> Logged:
        """Describe a bottle of the workshop.

        Raises
        ------
        InputError
            If its label contradicts itself.
        NotAllowed
            If the name is taken.
        """
        check_bottle(bottle)
        with in_words():
            liquid_of(bottle)
        if any(other.name.casefold() == bottle.name.casefold() for other in self.bottles):
            raise NotAllowed(f'there is a bottle "{bottle.name}" already; give this one another name')
        return self.book.record(SHOP, BottleAdded(bottle=bottle))

    def retire_bottle(self, bottle_id: str, reason: str) -> Logged:
        """Take a bottle out of use."""
        return self.book.record(SHOP, BottleRetired(bottle_id=bottle_id, reason=reason))

    def find_bottle(self, name: str) -> Bottle:
        """Return the bottle of that name.

        Raises
        ------
        UnknownName
            If there is none; the message lists what there is.
        """
        bottles = self.bottles
        for bottle in bottles:
            if bottle.name.casefold() == name.strip().casefold():
                return bottle
        known = ", ".join(f'"{bottle.name}"' for bottle in bottles) or "none yet"
        raise UnknownName(f'there is no bottle "{name.strip()}"; there are: {known}')

    def remaining_m3(self, bottle: Bottle) -> float:
        """Return what is left in a bottle by the record: its size less all pours from it, with what went back [m3]."""
        gone = withdrawn_numbers(self.book.entries_of_kind(Withdrawn.KIND))
        poured = 0.0
        for kind in pouring(self.book.registry.kinds):
            for entry in self.book.entries_of_kind(kind):
                pour = getattr(entry.payload, "pour", None)
                if entry.seq not in gone and isinstance(pour, Pour) and pour.bottle.bottle_id == bottle.bottle_id:
                    poured += pour.dose.volume_m3
        for entry in self.book.entries_of_kind(CoolantDrained.KIND):
            back = entry.payload.drain if isinstance(entry.payload, CoolantDrained) else None
            if back is not None and back.into == bottle.name and entry.seq not in gone:
                poured -= back.dose.volume_m3
        return bottle.size_m3 - poured

    # --- what powers the pump -----------------------------------------------------------------------------------

    def choose_pump_supply(self, build_id: str, supply: PumpSupply) -> Logged:
        """Record what powers the pump while this build is filled and bled; said again where it changes.

        Raises
        ------
        NotAllowed
            As :meth:`check_supply`.
        """
        self.check_supply(self.known(build_id), supply)
        return self.book.record(build_id, PumpSupplyChosen(supply=supply))

    @staticmethod
    def check_supply(state: BuildState, supply: PumpSupply) -> None:
        """Refuse a supply of the pump that cannot be recorded now.

        Raises
        ------
        NotAllowed
            If it is the computer's supply, and its cables and voltages have not passed; or if it is recorded so
            already.
        """
        if state.pump_supply is supply:
            raise NotAllowed(f"that is recorded already: {supply.told}")
        locked = bridge_lock(state) if supply is PumpSupply.BRIDGED else None
        if locked is not None:
            raise NotAllowed(as_refusal(locked))

    def do_step(self, build_id: str, step_id: str, note: str = "") -> Logged:
        """Record that a step was done; the one with the pump only where the pump may run.

        Raises
        ------
        NotAllowed
            If it is not the next one, the loop is under pressure or holds too little, or the pump may not run yet.
        """
        state = self.unlocked(build_id)
        _refuse_under_pressure(state)
        if step_id in self.missing_steps(state)[:1]:
            refuse_too_empty(state, step_id)
        if step_id == PUMP_STEP:
            refuse_pump(self.answered(build_id, When.BEFORE_PUMP))
        return super().do_step(build_id, step_id, note)

    # --- what moves coolant -------------------------------------------------------------------------------------

    def move(self, build_id: str, movement: Movement, *, stage: str = FILL) -> Logged:
        """Record what went into or out of the loop.

        Raises
        ------
        NotAllowed
            If what goes in meets a locked stage or unanswered cautions, the loop is under test pressure, more comes
            out than is in by the record, more evaporated than can have, or so much was spilled that it is an event.
        InputError
            If a bottle cannot have held that much.
        """
        state = self.check(build_id, movement)
        if stage == FILL and not takes_out(movement):
            refuse_unanswered(self.missing_cautions(state, When.BEFORE_POURING))
        return self.book.record(build_id, entry_of(movement, stage))

    def check(self, build_id: str, movement: Movement) -> BuildState:
        """Return the state of a build that would take a movement once the cautions are answered.

        Raises
        ------
        NotAllowed
            As `move`, but for the cautions. Taking coolant out is never locked: it is what a leak asks for.
        InputError
            If a bottle cannot have held that much.
        """
        state = self.known(build_id) if takes_out(movement) else self.unlocked(build_id)
        _refuse_under_pressure(state)
        if isinstance(movement, Pour):
            if state.pump_supply is None:
                refuse_pump(state)  # asked at the start: what must be unplugged while one pours hangs on it
            self._check_bottle(movement)
        else:
            _check_content(state, movement)
            refuse_made_up(state, movement, self.book.past.moment())
        return state

    def _check_bottle(self, pour: Pour) -> None:
        from commission.stages.fill.judge.dose import check_against_bottle

        check_against_bottle(pour.dose, self.remaining_m3(pour.bottle))

    def describe_reservoir(self, build_id: str, reservoir: Reservoir) -> Logged:
        """Record the dimensions of the reservoir's straight part.

        Raises
        ------
        InputError
            If they make no sense.
        """
        from commission.stages.fill.judge.level import check_reservoir

        with in_words():
            check_reservoir(reservoir)
        return self.book.record(build_id, ReservoirDescribed(reservoir=reservoir))

    def read_level(self, build_id: str, level: Measured, coolant: Measured | None, *, stage: str = FILL) -> Logged:
        """Record a level in the reservoir.

        Raises
        ------
        NotAllowed
            If the reservoir was not described.
        InputError
            If the level is above or below its straight part, or the coolant would be frozen or boil.
        """
        from commission.stages.fill.judge.level import content_below
        from commission.stages.fill.judge.liquid import check_temperature

        state = self.unlocked(build_id)
        kept = state.of(FillState)
        if kept.reservoir is None:
            raise NotAllowed("the reservoir was not described; type its inner diameter and height first")
        with in_words():
            content_below(kept.reservoir, level.si)
            if coolant is not None and kept.moves:
                check_temperature(self.liquid_in(state), coolant.si)
        return self.book.record(build_id, LevelRead(stage=stage, level=level, coolant=coolant))

    # --- what is known ------------------------------------------------------------------------------------------

    def liquid_in(self, state: BuildState) -> "Liquid":
        """Return what the loop holds, for what is drained, spilled or drawn off."""
        from commission.stages.fill.judge.liquid import liquid_in
        from commission.stages.fill.judge.mixture import fold_movements

        states = fold_movements(state.of(FillState).movements)
        if not states:
            raise NotAllowed("nothing was added yet; type what went in first")
        return liquid_in(states[-1].coolant)

    def verdict(self, state: BuildState) -> FillVerdict:
        """Judge the fill as it stands; the same state is judged once."""
        if self._judged is None or self._judged[0] is not state:
            verdict = judge_fill(self.stage(state), state, running=state.run(FILL).closed is None)
            self._judged = state, self._said(state, verdict)
        return self._judged[1]

    def _said(self, state: BuildState, verdict: FillVerdict) -> FillVerdict:
        verdict = told_of_amounts(self.stage(state), state, verdict)
        if asked(self.book.program, shown_run(state, FILL).closed):
            verdict = with_supply_unsaid(state, verdict)
        return replace(verdict, reasons=self.book.past.saying_so(verdict.reasons, state, shown_run(state, FILL)))

    def headspace(self, state: BuildState) -> HeadspaceReport | None:
        """Judge the air above the last level; None where reservoir, level or coolant are not known."""
        with in_words():
            return headspace_report(self.stage(state), state)

    def missing_steps(self, state: BuildState) -> tuple[str, ...]:
        """Return the ids of the steps still to be done in this attempt; the look first, where a pass wants it alone."""
        steps = super().missing_steps(state)
        if self.steps_open(state) != (LOOK_STEP,):
            return steps
        return (LOOK_STEP, *(step for step in steps if step != LOOK_STEP))

    def steps_open(self, state: BuildState) -> tuple[str, ...]:
        """Return the ids of the steps that a pass still wants; older attempts count where nothing was poured since.

        A look before a fill that failed says nothing of what made it fail.
        """
        runs, since = (*state.runs.get(FILL, ()), state.run(FILL)), poured_last(state)
        failed = max((run.attempt for run in runs if run.outcome is Outcome.FAIL), default=0)
        looked = {run.attempt for run in runs if run.attempt > failed and LOOK_STEP in run.steps}
        done = {step for run in runs if run.attempt >= since for step in run.steps if step != LOOK_STEP or looked}
        if looked_too_early(self.stage(state), state, self.book.entries(state.build_id)):
            done.discard(LOOK_STEP)
        return tuple(s.id for s in self.stage(state).steps if s.id in STEPS_OF_A_PASS and s.id not in done)

    def close(self, build_id: str) -> FillVerdict:
        """End the fill and judge it for the record.

        Raises
        ------
        NotAllowed
            If nothing was poured, or the stage is locked.
        """
        state = self.answered(build_id, When.BEFORE_POURING)
        if not state.of(FillState).moves:
            raise NotAllowed("nothing was added yet; there is nothing to judge")
        judged = self._said(state, judge_fill(self.stage(state), state, running=False))
        verdict = replace(with_steps_open(judged, self.steps_open(state)), picture=None)
        attempt = state.run(FILL).attempt
        self.book.record(build_id, FillClosed(attempt=attempt, verdict=verdict, program=self.book.program))
        return verdict


def pouring(kinds: Mapping[str, type]) -> tuple[str, ...]:
    """Return the words of the kinds of entry that hold a pour from a bottle, of whatever stage they are."""
    return tuple(word for word, kind in kinds.items() if "pour" in kind.__annotations__)


def entry_of(movement: Movement, stage: str) -> FillEntry:
    """Return the entry that records a movement."""
    match movement:
        case Pour():
            return CoolantPoured(stage=stage, pour=movement)
        case Drain():
            return CoolantDrained(stage=stage, drain=movement)
        case Spill():
            return CoolantSpilled(stage=stage, spill=movement)
        case SyringeOut():
            return CoolantDrawn(stage=stage, drawn=movement)
        case Evaporation():
            return WaterLost(stage=stage, lost=movement)


def takes_out(movement: Movement) -> bool:
    """Return whether a movement takes coolant out of the loop on purpose."""
    return isinstance(movement, Drain | SyringeOut)


def liquid_of(bottle: Bottle) -> "Liquid":
    """Return what a bottle holds, for doses from it."""
    from commission.stages.fill.judge.liquid import liquid_of as liquid

    return liquid(bottle)


def _refuse_under_pressure(state: BuildState) -> None:
    """Refuse to open a loop that holds pressure by the record."""
    if hold_runs(state):
        raise NotAllowed("the loop is under test pressure; end the hold and let the pressure down first")
    if state.held is not None and not state.held.let_down:
        raise NotAllowed(
            "the loop is logged as under test pressure. Vent it to 0, then type what the "
            "gauge shows at the hold, or: commission vented"
        )


def _ml(m3: float) -> str:
    return show(m3, Quantity.VOLUME, own="mL")


def _check_content(state: BuildState, movement: Drain | Spill | SyringeOut | Evaporation) -> None:
    from commission.stages.fill.judge.mixture import fold_movements

    states = fold_movements(state.of(FillState).movements)
    held = states[-1].volume_m3 if states else 0.0
    u = states[-1].u_volume_m3 if states else 0.0
    dose: Dose = movement.dose
    if dose.volume_m3 > held + 2 * (u + dose.u_volume_m3):
        raise NotAllowed(
            f"{_ml(dose.volume_m3)} are more than the {_ml(held)} in the loop "
            "as logged. Check the amount, or add the missing one"
        )
