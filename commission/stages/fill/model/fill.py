"""A fill: what went in and out, how it was measured, and what the total proves."""

import math
from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Phrase
from commission.base.verdict import Bounded, Outcome
from commission.record.machine.loop import LoopVolume
from commission.stages.fill.model.coolant import Bottle, CoolantState

REFERENCE_K = 293.15
"""Temperature to which volumes of liquid are referred [K] (20 °C); our choice: near the room in which it is poured,
and ISO 1 uses it too (from memory)."""
LAST_FILL = "last fill"
"""Basis of an expected volume that a former fill of the same loop measured: it is liquid, without headspace."""

GUESSED = 0.25
"""Half-width of an amount that was only estimated, where nobody typed one [1]; our choice: an eye takes three
quarters of a cup for a whole one."""
MARK = 0.01
"""Half-width of reading a mark, as a share of what is read [1]; our choice: a line's width on a usual beaker."""
TYPED_U_K = 0.5
"""Standard uncertainty of a temperature that was typed [K]; our choice: the accuracy that room thermometers print."""
ROOM_K = 293.15
"""Temperature taken where nobody read one [K]; our choice: a usual room, and the reference of the volumes."""


class Way(StrEnum):
    """How an amount of coolant was measured."""

    VOLUME = "by volume"
    LEVEL = "by the level in the bottle"
    WEIGHED = "weighed"
    ESTIMATED = "estimated"


class TypedAmount(Frozen):
    """An amount of coolant as it was typed."""

    way: Way
    """How it was measured."""
    values: tuple[Measured, ...]
    """One volume or weight, or two: before and after."""
    u: float | None = None
    """Standard uncertainty that was typed [SI]; None where none was."""
    at: Measured | None = None
    """Temperature of what was measured; None where it was not typed."""


class Dose(Frozen):
    """An amount of liquid that was measured."""

    way: Way
    """How."""
    volume_m3: float
    """Its volume at at_k [m3]."""
    at_k: float
    """Temperature at which that volume holds [K]."""
    u_reading_m3: float
    """Standard uncertainty that is new with each amount: scale, mark, eye [m3]."""
    u_shared_m3: float
    """Standard uncertainty that amounts of the same origin share: density of the bottle, error of the cup [m3]."""
    mass_kg: float | None = None
    """Its mass [kg]; None where the density is not known."""
    inputs: tuple[Measured, ...] = ()
    """What was typed for it, in the order asked."""

    @property
    def u_volume_m3(self) -> float:
        """Standard uncertainty of the volume [m3]."""
        return math.hypot(self.u_reading_m3, self.u_shared_m3)


def guessed_dose(amount: Measured) -> Dose:
    """Return a volume that was only estimated, in a usual room, half as wide as `GUESSED` says.

    The half-width is that of a rectangle: u = a / sqrt(3). Source: JCGM 100:2008, 4.3.7.
    """
    u = GUESSED * amount.si / math.sqrt(3)
    return Dose(way=Way.ESTIMATED, volume_m3=amount.si, at_k=ROOM_K, u_reading_m3=u, u_shared_m3=0.0, inputs=(amount,))


class Pour(Frozen):
    """Coolant that was poured into the loop."""

    bottle: Bottle
    """Where from, as described when it was poured."""
    dose: Dose
    """How much."""
    note: str = ""
    """What the builder added."""


class Drain(Frozen):
    """Coolant that was let out of the loop on purpose."""

    dose: Dose
    """How much."""
    note: str = ""
    """What the builder added."""
    into: str = ""
    """What became of it: the bottle that it went back into, or another place in words; empty where nobody said."""


class Spill(Frozen):
    """Coolant that went where it should not: out of the loop, or beside the filler after it was counted as poured."""

    dose: Dose
    """How much, usually estimated."""
    bottle: Bottle | None = None
    """The bottle it was poured from, where it never reached the loop; None: it came out of the loop."""
    note: str = ""
    """Where it went, and what was done."""


class SyringeOut(Frozen):
    """Coolant that was drawn off with a syringe, to lower the level or for a sample."""

    dose: Dose
    """How much."""
    note: str = ""
    """What the builder added."""


class Evaporation(Frozen):
    """Water that went alone, through tubes or an open cap, as far as the builder can tell."""

    dose: Dose
    """How much water."""
    note: str = ""
    """What the builder added."""


Movement = Pour | Drain | Spill | SyringeOut | Evaporation
"""Everything that changes what is in a loop."""


def beside(movement: Movement) -> bool:
    """Return whether something was spilled of the bottle, so that it never was in the loop."""
    return isinstance(movement, Spill) and movement.bottle is not None


class Reservoir(Frozen):
    """The straight part of an upright round reservoir, where a level is worth a known volume."""

    bore_m: float
    """Inner diameter [m]."""
    height_m: float
    """Height of the straight part above the zero mark [m]."""
    insert_m: float = 0.0
    """Diameter of a tube that stands in it [m]."""
    above_m3: float = 0.0
    """What the cap and anything above the straight part hold [m3]."""


class FillSetup(Frozen):
    """What the judge of a fill must know beside what was poured."""

    expected: LoopVolume | None
    """Liquid that the loop should take at reference_k; None where nobody knows."""
    missing_share: float
    """Largest share of that volume that may still be missing when bleeding begins [1]."""
    reference_k: float = REFERENCE_K
    """Temperature to which volumes are referred [K]."""
    amount_unknown: bool = False
    """Whether coolant ran out, and nobody knows how much."""


class FillProof(StrEnum):
    """What the difference between the expected volume and what went in proves."""

    MISSING = "some is missing"
    TOO_MUCH = "more than fits"
    CANNOT_TELL = "can't tell"


class FillPicture(Frozen):
    """What a plot of the fill needs."""

    seq: tuple[int, ...]
    """Place of each movement in the fill, from 1."""
    total_m3: tuple[float, ...]
    """Running total after it at the reference temperature [m3]."""
    u_total_m3: tuple[float, ...]
    """Its standard uncertainty [m3]."""
    low_m3: float | None
    """Lower edge of the expected band (95 %) [m3]; None where nothing is expected."""
    high_m3: float | None
    """Upper edge of the expected band (95 %) [m3]; None where nothing is expected."""


class FillVerdict(Frozen):
    """What a fill proves."""

    UNITS: ClassVar[dict[str, str]] = {"missing": "m3", "missing_share_limit": "", "filled_share": ""}
    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    filled_m3: float
    """Liquid in the loop at reference_k [m3]."""
    u_filled_m3: float
    """Its standard uncertainty [m3]."""
    expected_m3: float | None
    """Liquid that the loop should take [m3]; None where nobody knows."""
    u_expected_m3: float | None
    """Its standard uncertainty [m3]."""
    basis: str
    """Where the expected volume comes from; empty where there is none."""
    filled_share: float | None
    """Filled over expected volume [1]."""
    missing: Bounded | None
    """Expected minus filled volume, negative where more went in [m3]."""
    proof: FillProof | None
    """What that difference proves; None where nothing is expected."""
    missing_share_limit: float
    """The limit it was judged by [1]."""
    reference_k: float
    """Temperature to which volumes are referred [K]."""
    coolant: CoolantState
    """What is in the loop."""
    freezing_k: float | None
    """Its freezing point [K]; None where it cannot be stated."""
    density_kg_m3: float | None
    """Its density at reference_k [kg/m3]; None where it cannot be stated."""
    movements: int
    """How many amounts were counted."""
    reasons: tuple[Phrase, ...] = ()
    """Why, in plain words; the one that decided comes first."""
    picture: FillPicture | None = None
    """What a plot needs; None where nothing can be drawn."""


class HeadspaceReport(Frozen):
    """What warming does to the closed loop."""

    outcome: Outcome
    """Pass within the limit, fail beyond it, inconclusive where the headspace is not known well enough."""
    gauge_pa: float | None
    """Pressure when warm [Pa gauge]; None where the liquid would fill the loop."""
    needed_m3: float | None
    """Smallest headspace that keeps within the limit [m3]; None without a limit, or where none is enough."""
    limit_gauge_pa: float | None
    """The limit: the rating of the weakest part [Pa gauge]; None where no part states one."""
    reasons: tuple[Phrase, ...] = ()
    """Why, in plain words."""
