"""What an entry about coolant says: bottles, amounts, levels, and what they proved."""

from __future__ import annotations

from typing import TYPE_CHECKING, assert_never

from commission.base.quantity import Quantity
from commission.record.value_text import note_text, shown, volume_text
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
from commission.stages.fill.model.fill import Drain, Evaporation, Movement, Pour, Spill, SyringeOut

if TYPE_CHECKING:
    from commission.stages.fill.model.coolant import Bottle
    from commission.stages.fill.model.fill import Dose


def fill_text(payload: FillEntry | BottleAdded | BottleRetired) -> str:
    """Return what an entry about coolant says beside its kind.

    Parameters
    ----------
    payload
        The entry.
    """
    match payload:
        case BottleAdded(bottle=bottle):
            return bottle_text(bottle)
        case BottleRetired(reason=reason):
            return reason
        case CoolantPoured(pour=moved) | CoolantDrained(drain=moved) | CoolantSpilled(spill=moved):
            return movement_text(moved)
        case CoolantDrawn(drawn=moved) | WaterLost(lost=moved):
            return movement_text(moved)
        case ReservoirDescribed() | LevelRead():
            return _level(payload)
        case PumpSupplyChosen(supply=supply):
            return f"{supply}: {supply.told}"
        case FillClosed(attempt=attempt, verdict=fill):
            filled = volume_text(fill.filled_m3, fill.u_filled_m3)
            return f"attempt {attempt}: {fill.outcome}, {filled} in"
        case _ as unreachable:
            assert_never(unreachable)


def bottle_text(bottle: Bottle) -> str:
    """Return a bottle's label in one line.

    >>> from commission.stages.fill.model.coolant import Base, Basis, Bottle
    >>> bottle_text(Bottle(bottle_id="", name="can", base=Base.ETHYLENE_GLYCOL, size_m3=1e-3, fraction=0.5,
    ...     basis=Basis.VOLUME))
    'can, ethylene glycol 50 % by volume, 1 L'
    """
    share = f" {shown(bottle.fraction, Quantity.RATIO)} by {bottle.basis}" if bottle.fraction else ""
    facts = [bottle.name, f"{bottle.base}{share}", shown(bottle.size_m3, Quantity.VOLUME)]
    if bottle.density_kg_m3 is not None:
        at = shown(bottle.density_k, Quantity.TEMPERATURE)
        facts.append(f"{shown(bottle.density_kg_m3, Quantity.DENSITY)} at {at}")
    if bottle.freezing_k is not None:
        facts.append(f"freezes at {shown(bottle.freezing_k, Quantity.TEMPERATURE)}")
    named = (("product", bottle.product), ("lot", bottle.lot), ("opened", bottle.opened_on))
    return ", ".join([*facts, *(f"{what} {value}" for what, value in named if value)])


def movement_text(movement: Movement) -> str:
    """Return what went into or out of a loop, how it was measured, and what it came to."""
    return f"{_dose(movement.dose)} {moved_how(movement)}{note_text(movement.note)}"


def moved_how(movement: Movement) -> str:
    """Return where from or where to an amount went, such as ``from pink premix``."""
    match movement:
        case Pour(bottle=bottle):
            return f"from {bottle.name}"
        case Spill(bottle=bottle):
            return "spilled out of the loop" if bottle is None else f"of {bottle.name} spilled beside the filler"
        case Drain(into=into):
            return f"drained into {into}" if into else "drained"
        case SyringeOut():
            return "drawn off"
        case Evaporation():
            return "of water lost"
        case _ as unreachable:
            assert_never(unreachable)


def _dose(dose: Dose) -> str:
    volume = volume_text(dose.volume_m3, dose.u_volume_m3)
    at = shown(dose.at_k, Quantity.TEMPERATURE)
    typed = ", ".join(measured.typed for measured in dose.inputs)
    return f"{volume} at {at}, {dose.way}{f' ({typed})' if typed else ''},"


def _level(payload: ReservoirDescribed | LevelRead) -> str:
    if isinstance(payload, LevelRead):
        at = f" at {payload.coolant.typed}" if payload.coolant is not None else ""
        return f"{payload.level.typed}{at}{note_text(payload.note)}"
    tank = payload.reservoir
    facts = [
        f"bore {shown(tank.bore_m, Quantity.LENGTH)}",
        f"height {shown(tank.height_m, Quantity.LENGTH)}",
    ]
    if tank.insert_m:
        facts.append(f"tube in it {shown(tank.insert_m, Quantity.LENGTH)}")
    if tank.above_m3:
        facts.append(f"{shown(tank.above_m3, Quantity.VOLUME)} above it")
    return ", ".join(facts)
