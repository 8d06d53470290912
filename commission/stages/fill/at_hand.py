"""What a reader needs while coolant is moved: the record, the bottle in hand, the temperature, the verdict so far."""

from functools import cached_property
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.quantity import Measured, Quantity
from commission.bench.at_hand import StageAtHand
from commission.procedure.stage_ids import FILL
from commission.record.logbook import Logbook
from commission.record.machine.instrument import InstrumentKind
from commission.record.stage_work import StageWork
from commission.stages.fill.model.coolant import Bottle
from commission.stages.fill.model.fill import ROOM_K, TYPED_U_K, FillVerdict, HeadspaceReport, Movement, Pour
from commission.stages.fill.state import FillState, Shelf
from commission.stages.fill.work.fills import Fills
from commission.units.chosen import face_unit
from commission.units.show import show

if TYPE_CHECKING:
    from commission.physics.loop_volume import Uncertain


class CoolantAtHand(StageAtHand[StageWork]):
    """The build, and what is in hand: a bottle and a temperature, neither stored before it is used."""

    def __init__(self, book: Logbook, build_id: str, work: StageWork) -> None:
        self.bottle_id = ""
        self.at: Measured | None = None
        """Temperature of what is poured next, where it was typed."""
        super().__init__(book, build_id, work)

    def forget(self) -> None:
        """Forget what was computed from the record as it was."""
        self._left: dict[str, float] = {}

    @property
    def coolant(self) -> FillState:
        """What the record holds of the coolant of this build."""
        return self.state.of(FillState)

    @property
    def bottles(self) -> tuple[Bottle, ...]:
        """Bottles in use."""
        return self.shop.of(Shelf).bottles

    # --- the bottle in hand ----------------------------------------------------------------------------------

    @property
    def bottle(self) -> Bottle | None:
        """The bottle in hand: as chosen, else as last poured from, else the only one."""
        by_id = {one.bottle_id: one for one in self.bottles}
        if self.bottle_id in by_id:
            return by_id[self.bottle_id]
        for moved in reversed(self.coolant.moves):
            if isinstance(moved.movement, Pour):
                return by_id.get(moved.movement.bottle.bottle_id)
        return self.bottles[0] if len(self.bottles) == 1 else None

    @property
    def bottle_in_hand(self) -> Bottle:
        """The bottle in hand; raises InputError where there is none."""
        if self.bottle is None:
            raise InputError("no bottle is in hand; type bottle and its name")
        return self.bottle

    def take_bottle(self, bottle_id: str) -> None:
        """Take a bottle in hand; nothing is recorded, and there is nothing to say."""
        self.bottle_id = bottle_id

    def left_m3(self, bottle: Bottle) -> float:
        """Return what is left in a bottle by the record [m3]."""
        if bottle.bottle_id not in self._left:
            self._left[bottle.bottle_id] = self.book.work(Fills).remaining_m3(bottle)
        return self._left[bottle.bottle_id]

    # --- the temperature -------------------------------------------------------------------------------------

    @property
    def degrees(self) -> str | None:
        """Unit of a bare temperature: that of the workshop's thermometer, unless the person reads in another."""
        found = [one.unit for one in self.shop.instruments if one.kind is InstrumentKind.THERMOMETER]
        return face_unit(Quantity.TEMPERATURE, found[0]) if found else None

    def temperature(self, typed: Measured | None = None) -> tuple["Uncertain", str]:
        """Return the temperature of what is poured, and how it is known."""
        from commission.physics.loop_volume import Uncertain

        known = typed or self.at or self._last_typed()
        if known is not None:
            return Uncertain(known.si, TYPED_U_K), show(known.si, Quantity.TEMPERATURE)
        u = self.book.procedure(self.state).stage(FILL).limit("bottle_u_k")
        room = self.room_k
        told = show(room or ROOM_K, Quantity.TEMPERATURE)
        return Uncertain(room or ROOM_K, u), f"{told}, {'as in the hold' if room else 'assumed'}"

    def _last_typed(self) -> Measured | None:
        """Return the temperature that was typed with the last amount of this fill."""
        for moved in reversed(self.coolant.moves):
            for value in moved.movement.dose.inputs:
                if value.quantity is Quantity.TEMPERATURE:
                    return value
        return None

    @property
    def room_k(self) -> float | None:
        """Temperature of the room as last read in the hold [K]; None where it was not."""
        return None if self.state.held is None else self.state.held.air_k

    # --- what is known ---------------------------------------------------------------------------------------

    @property
    def fill_verdict(self) -> FillVerdict:
        """The verdict on the fill as it stands."""
        return self.book.work(Fills).verdict(self.state)

    @cached_property
    def headspace(self) -> HeadspaceReport | None:
        """What warming does to the closed loop; None where level, coolant or reservoir are not known."""
        return self.book.work(Fills).headspace(self.state)

    def total_with(self, movement: Movement) -> float:
        """Return what would be in the loop after one more movement [m3 at the reference temperature]."""
        from commission.stages.fill.judge.mixture import fold_movements

        return fold_movements((*self.coolant.movements, movement))[-1].volume_m3
