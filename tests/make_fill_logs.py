"""Simulates the fills and bleeds of the invented workshop, millilitre by millilitre.

Nothing of the program is used here, so that the record made of it (``tests/demo_coolant.py``) can contradict the judge.

The physics, for a loop of true volume V with an upright round reservoir of known bore at its top:

* Liquid, air in the loop and headspace fill the loop: ``liquid + trapped + headspace = V``; the level follows.
* Air that goes round in bubbles comes out by the same share in each cycle of equal length: ``free -> ratio·free``.
* A pocket that the flow cannot move gives off a little in each cycle, whatever is left of it, until the case is tilted;
  then all of it goes round in bubbles.
* Air that came out is replaced up to the mark with whole millilitres of a syringe; the rest is topped up later.
* Masses of glycol and of everything add up; so do volumes of the same liquid at the same temperature.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

BORE_MM = 60.0
ML_PER_MM = math.pi * BORE_MM**2 / 4 / 1000
"""2.827433 mL."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What is seen and topped up at the end of a cycle, and the truth beside it."""

    tilt: str
    """How the case stands."""
    top_up_ml: int
    """What goes in to the mark."""
    out_ml: float
    """Air that truly came out."""
    left_ml: float
    """Air that is truly left in the loop."""

    @property
    def bubbles(self) -> str:
        """Bubbles at its end."""
        return "many" if self.out_ml > 10 else "few" if self.out_ml > 1.5 else "none"

    @property
    def noise(self) -> str:
        """What the pump sounds like."""
        return "gurgling" if self.out_ml > 5 else "quiet"


@dataclass(slots=True, kw_only=True)
class WetLoop:
    """A loop that was filled to the mark."""

    volume_ml: float
    """True volume."""
    height_mm: float
    """Height of the reservoir's straight part."""
    mark_mm: float
    """Level to which it is filled and topped up."""
    free_ml: float
    """Air that goes round in bubbles."""
    ratio: float
    """What is left of that after a cycle."""
    pocket_ml: float = 0.0
    """Air that the flow cannot move."""
    nibble_ml: float = 0.0
    """What a cycle takes off the pocket."""
    owed_ml: float = field(default=0.0, init=False)
    """How far the level is below the mark after the last top-up."""

    @property
    def headspace_ml(self) -> float:
        """Air above the mark."""
        return (self.height_mm - self.mark_mm) * ML_PER_MM

    @property
    def liquid_ml(self) -> float:
        """Liquid in it when the level is at the mark."""
        return self.volume_ml - self.headspace_ml - self.free_ml - self.pocket_ml

    def tilt(self) -> None:
        """Let the pocket go."""
        self.free_ml, self.pocket_ml = self.free_ml + self.pocket_ml, 0.0

    def cycles(self, count: int, tilt: str) -> Iterator[Seen]:
        """Run some cycles in one position and top up after each."""
        for _ in range(count):
            nibbled = min(self.nibble_ml, self.pocket_ml)
            out = self.free_ml * (1 - self.ratio) + nibbled
            self.free_ml *= self.ratio
            self.pocket_ml -= nibbled
            self.owed_ml += out
            top_up = max(0, round(self.owed_ml))
            self.owed_ml -= top_up
            yield Seen(tilt=tilt, top_up_ml=top_up, out_ml=out, left_ml=self.free_ml + self.pocket_ml)


def window_desk() -> WetLoop:
    """Return the desk's loop: 95 mL of air after the fill, all of it free.

    Its volume was measured on air as 1200 ± 15 mL; 1194 mL are true. Filled to the mark, 35 mm or 98.96 mL below the
    top, it holds 1194 - 98.96 - 95 = 1000.04 mL: 95 mL of the 1095.04 mL that would fit are missing, 9 % and far below
    the 30 % that are too many to begin with: the fill must pass. Each cycle leaves 36 % of the air: after seven,
    0.07 mL are left, and the last three took 1, 1 and 0 mL: the bleed must pass.
    """
    return WetLoop(volume_ml=1194.0, height_mm=100.0, mark_mm=65.0, free_ml=95.0, ratio=0.36)


def corner_tower() -> WetLoop:
    """Return the tower's loop: 60 mL of free air, and a pocket of 90 mL at the top of a radiator.

    Its parts add up to 1185 mL, 1200 mL are true. Upright, a cycle takes 10 mL off the pocket however often it is run:
    the amounts come to a stand at 10 mL, never below the 2 mL of the rule, and the first bleed must fail although the
    free air has gone (60·0.35^6 = 0.1 mL). On its side the rest of the pocket, 90 - 6·10 = 30 mL, comes out in bubbles,
    and after seven cycles less than 0.1 mL is left: the second bleed must pass.
    """
    return WetLoop(
        volume_ml=1200.0, height_mm=130.0, mark_mm=80.0, free_ml=60.0, ratio=0.35, pocket_ml=90.0, nibble_ml=10.0
    )


def desk_bleed() -> list[Seen]:
    """Return the seven cycles of the desk's bleed."""
    return list(window_desk().cycles(7, "upright"))


def tower_bleeds() -> tuple[list[Seen], list[Seen]]:
    """Return the cycles of the tower's first bleed, upright, and of its second, on its side and upright again."""
    loop = corner_tower()
    first = list(loop.cycles(6, "upright"))
    loop.tilt()
    return first, [*loop.cycles(4, "on its left side"), *loop.cycles(3, "upright")]


@dataclass(frozen=True, slots=True, kw_only=True)
class DeskFill:
    """What goes into the desk's loop: premix by weight, water by volume, some of it beside the filler."""

    bottle_g: tuple[float, ...] = (1184.6, 531.2, 262.0)
    """The premix bottle on the scale, before and after each pour."""
    water_g_ml: float = 0.9977735
    """Density of water at 22 °C (IAPWS-95)."""
    water_ml: float = 110.0
    """Water poured from a cup."""
    spilled_ml: float = 10.0
    """Water of it that ran beside the filler."""

    @property
    def premix_g(self) -> float:
        """Premix that went in: 1184.6 - 262.0 = 922.6 g, 902.0 mL."""
        return self.bottle_g[0] - self.bottle_g[-1]

    def glycol_share(self, more_water_ml: float = 0.0) -> float:
        """Return the share of glycol by mass after some more water: a balance of masses."""
        water_g = (self.water_ml - self.spilled_ml + more_water_ml) * self.water_g_ml
        return 0.30 * self.premix_g / (self.premix_g + water_g)


DESK_FILL = DeskFill()
TOWER_MARKS_ML = (2000, 1500, 1120, 1095)
"""The tower's bottle by its marks, before and after each pour: 905 mL."""
TOWER_SYRINGE_ML = 3
"""To the mark: 905 + 3 mL, where 1200 - 141.37 - 150 = 908.63 mL are true."""
