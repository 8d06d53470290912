"""What a person did with coolant, as past facts: bottles, pours, levels."""

from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Measured
from commission.stages.fill.model.coolant import Bottle
from commission.stages.fill.model.fill import (
    Drain,
    Evaporation,
    FillVerdict,
    Movement,
    Pour,
    Reservoir,
    Spill,
    SyringeOut,
)


class BottleAdded(Frozen):
    """A bottle of the workshop was described."""

    KIND: ClassVar[str] = "bottle added"
    bottle: Bottle
    """Its description."""


class BottleRetired(Frozen):
    """A bottle is empty or no longer used."""

    KIND: ClassVar[str] = "bottle retired"
    bottle_id: str
    """Which one."""
    reason: str
    """Why."""


class CoolantPoured(Frozen):
    """Coolant went from a bottle into the loop."""

    KIND: ClassVar[str] = "coolant poured"
    SHOWN: ClassVar[str] = "coolant added"
    stage: str
    """Stage during which it happened."""
    pour: Pour
    """From where and how much."""


class CoolantDrained(Frozen):
    """Coolant was let out of the loop on purpose."""

    KIND: ClassVar[str] = "coolant drained"
    stage: str
    """Stage during which it happened."""
    drain: Drain
    """How much."""


class CoolantSpilled(Frozen):
    """Coolant went where it should not."""

    KIND: ClassVar[str] = "coolant spilled"
    stage: str
    """Stage during which it happened."""
    spill: Spill
    """How much, and where it came from."""


class CoolantDrawn(Frozen):
    """Coolant was drawn off with a syringe."""

    KIND: ClassVar[str] = "coolant drawn off"
    SHOWN: ClassVar[str] = "coolant taken by syringe"
    stage: str
    """Stage during which it happened."""
    drawn: SyringeOut
    """How much."""


class WaterLost(Frozen):
    """Water alone left the loop."""

    KIND: ClassVar[str] = "water lost"
    SHOWN: ClassVar[str] = "water evaporated"
    stage: str
    """Stage during which it was noticed."""
    lost: Evaporation
    """How much."""


class ReservoirDescribed(Frozen):
    """The straight part of the reservoir was measured, so that a level is worth a volume."""

    KIND: ClassVar[str] = "reservoir described"
    reservoir: Reservoir
    """Its dimensions."""


class LevelRead(Frozen):
    """The level in the reservoir was read."""

    KIND: ClassVar[str] = "level read"
    UNITS: ClassVar[dict[str, str]] = {"level": "m", "coolant": "k"}
    stage: str
    """Stage during which it was read."""
    level: Measured
    """Height above the zero mark."""
    coolant: Measured | None
    """Temperature of the coolant; None where it was not read."""
    note: str = ""
    """What the builder added."""


class FillClosed(Frozen):
    """Filling was ended and judged."""

    KIND: ClassVar[str] = "fill closed"
    SHOWN: ClassVar[str] = "fill ended"
    attempt: int
    """Which attempt, from 1."""
    verdict: FillVerdict
    """What it proved."""
    program: str
    """Version of the program that judged."""


class PumpSupplyChosen(Frozen):
    """It was said what powers the pump while the loop is filled and bled."""

    KIND: ClassVar[str] = "pump supply chosen"
    supply: PumpSupply
    """A supply of its own, or the computer's supply bridged."""


FillEntry = (
    CoolantPoured
    | CoolantDrained
    | CoolantSpilled
    | CoolantDrawn
    | WaterLost
    | ReservoirDescribed
    | LevelRead
    | FillClosed
    | PumpSupplyChosen
)
"""Every kind of entry of a build that the fill knows; those with a stage are recorded during later ones, too."""


def movement_of(entry: FillEntry) -> Movement | None:
    """Return what an entry moved into or out of the loop, or None."""
    match entry:
        case CoolantPoured(pour=pour):
            return pour
        case CoolantDrained(drain=drain):
            return drain
        case CoolantSpilled(spill=spill):
            return spill
        case CoolantDrawn(drawn=drawn):
            return drawn
        case WaterLost(lost=lost):
            return lost
        case _:
            return None
