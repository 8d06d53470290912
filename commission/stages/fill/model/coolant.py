"""Coolant: bottles with what their labels say, and what can be said of the mixture in a loop."""

import re
from enum import StrEnum
from typing import ClassVar

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.text import clip


class Base(StrEnum):
    """What a coolant is made of, as its label says."""

    WATER = "water"
    PROPYLENE_GLYCOL = "propylene glycol"
    ETHYLENE_GLYCOL = "ethylene glycol"
    READY_MIX = "ready mix"
    UNKNOWN = "unknown"


GLYCOLS = (Base.PROPYLENE_GLYCOL, Base.ETHYLENE_GLYCOL)
"""Bases whose fraction of glycol means something."""


class Basis(StrEnum):
    """Whether a fraction is by mass or by volume: 50 % of ethylene glycol by volume are 52.4 % by mass."""

    MASS = "mass"
    VOLUME = "volume"


SHORTEST_LIFE_S = 604_800.0
"""Shortest life of a coolant [s]; our choice: below a week it is a slip of the unit."""
LONGEST_LIFE_S = 10 * 31_557_600.0
"""Longest life of a coolant [s]; our choice: no bottle states more than ten years."""


class Bottle(Frozen):
    """A container of coolant or water, shared by all builds of the workshop."""

    UNITS: ClassVar[dict[str, str]] = {"fraction": "", "u_fraction": ""}
    bottle_id: str
    """Made by the program; never shown."""
    name: str
    """What the builder calls it."""
    base: Base
    """What its label says it is made of."""
    size_m3: float
    """What it holds when full [m3]."""
    fraction: float | None = None
    """Share of glycol, 0 to 1; None where the label states none."""
    basis: Basis | None = None
    """Whether that share is by mass or by volume; None only where there is no share."""
    u_fraction: float = 0.01
    """Standard uncertainty of the share [1]; our choice: labels round to a point."""
    density_kg_m3: float | None = None
    """Density by the maker's data sheet, or weighed [kg/m3]; None where nobody knows."""
    density_k: float = 293.15
    """Temperature at which that density holds [K]."""
    u_density_kg_m3: float = 2.0
    """Standard uncertainty of that density [kg/m3]; our choice: sheets print whole digits."""
    freezing_k: float | None = None
    """Freezing point by the maker's data sheet [K]; None where it states none."""
    product: str = ""
    """Name of the product on the label, the same for bottles of the same kind; empty: the bottle's own name."""
    lot: str = ""
    """Lot or batch on the label."""
    opened_on: str = ""
    """Date on which it was opened, ISO 8601; empty where it was not."""
    lasts_s: float | None = None
    """How long its coolant may stay in a loop by the label [s]; None where nobody typed it."""

    @property
    def kind(self) -> str:
        """What makes two bottles the same to mix: product or name, whatever the capitals.

        A ready mix that nobody named, "ready mix" or "ready mix 2", goes by its density: our choice, for a number that
        only tells bottles apart makes no other coolant of it, and a name given by a person may.
        """
        unnamed = self.base is Base.READY_MIX and re.fullmatch(r"ready mix( \d+)?", self.name) and not self.product
        if unnamed and self.density_kg_m3 is not None:
            return f"ready mix, {self.density_kg_m3 / 1000:.4g} g/mL"
        return " ".join((self.product or self.name).casefold().split())


class CoolantState(Frozen):
    """What is in a loop, as far as it can be told."""

    base: Base | None
    """What it is made of; None while nothing is in; ``unknown`` where it is mixed or was never known."""
    glycol_kg: float | None
    """Mass of glycol [kg]; None where no fraction can be stated."""
    total_kg: float | None
    """Mass of all of it [kg]; None where a density was not known."""
    product: str = ""
    """Name of the ready mix, where it is one and nothing else."""
    why: str = ""
    """Why no fraction can be stated, in a few words; empty where one can."""

    @property
    def mass_fraction(self) -> float | None:
        """Mass of glycol over total mass [1]; None where none can be stated."""
        if self.glycol_kg is None or self.total_kg is None or self.total_kg <= 0:
            return None
        return self.glycol_kg / self.total_kg


EMPTY = CoolantState(base=None, glycol_kg=0.0, total_kg=0.0)
"""A loop with nothing in it."""


def check_bottle(bottle: Bottle) -> None:
    """Refuse a bottle whose label contradicts itself.

    Raises
    ------
    InputError
        If the share, its basis, the size or the density is missing where it is needed, or makes no sense; the message
        says what to type.
    """
    from commission.units.worded import worded

    name = clip(bottle.name)
    if bottle.size_m3 <= 0:
        raise InputError(worded(f"{name} needs a size above 0; type what it holds when full, such as 1 L"))
    if bottle.base in GLYCOLS:
        _check_share(bottle, name)
    elif bottle.fraction is not None:
        raise InputError(
            f"{name} is {bottle.base}, so a share of glycol means nothing; leave it out, or name the glycol"
        )
    if bottle.base is Base.READY_MIX and bottle.density_kg_m3 is None:
        raise InputError(worded(f"{name} is a ready mix: type the density of its data sheet, or weigh 100 mL of it"))
    refuse_life(bottle.lasts_s)
    if bottle.density_kg_m3 is not None and not 900 <= bottle.density_kg_m3 <= 1300:
        raise InputError(f"{bottle.density_kg_m3:g} kg/m3 is no density of a coolant; 1.02 g/mL are 1020 kg/m3")


def refuse_life(life_s: float | None) -> None:
    """Raise InputError where no coolant lasts like that [s]."""
    if life_s is not None and not SHORTEST_LIFE_S <= life_s <= LONGEST_LIFE_S:
        raise InputError("a coolant lasts from a week to ten years; type such as 24 months, or none")


def _check_share(bottle: Bottle, name: str) -> None:
    if bottle.fraction is None:
        raise InputError(f"{name} is {bottle.base}: type its share of glycol and whether it is by mass or by volume")
    if bottle.basis is None:
        raise InputError(f"{name} states {100 * bottle.fraction:g} % glycol: type whether that is by mass or by volume")
    if not 0 < bottle.fraction <= 1:
        raise InputError(f"{100 * bottle.fraction:g} % is no share of glycol; type above 0 to 100 %")
    if not 0 <= bottle.u_fraction < 0.5:
        raise InputError(f"{name} needs an uncertainty of its share from 0 to below 50 %")
