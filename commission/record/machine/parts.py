"""Parts of the loop: what they hold, what they withstand, what touches the coolant."""

import math
from enum import StrEnum

from commission.base.frozen import Frozen


class PartKind(StrEnum):
    """What a part is, in the trade's words."""

    RADIATOR = "radiator"
    CPU_BLOCK = "cpu block"
    GPU_BLOCK = "gpu block"
    PUMP = "pump"
    RESERVOIR = "reservoir"
    DISTRIBUTION_PLATE = "distribution plate"
    TUBE = "tube"
    FITTINGS = "fittings"
    FILTER = "filter"
    FLOW_METER = "flow meter"
    VALVE = "valve"
    OTHER = "other"


class Material(StrEnum):
    """What touches the coolant."""

    COPPER = "copper"
    BRASS = "brass"
    NICKEL = "nickel"
    BARE_ALUMINIUM = "bare aluminium"
    ANODISED_ALUMINIUM = "anodised aluminium"
    STAINLESS_STEEL = "stainless steel"
    ACRYLIC = "acrylic"
    ACETAL = "acetal"
    GLASS = "glass"
    PETG = "petg"
    RUBBER = "rubber"
    PVC = "pvc"
    OTHER = "other"


_IN_CAPITALS = frozenset({"cpu", "gpu", "petg", "pvc"})
"""Words that are said letter by letter, or written so on labels."""


def in_words(word: PartKind | Material) -> str:
    """Return a kind or a material as it is printed on a label; what is stored stays.

    >>> in_words(PartKind.CPU_BLOCK), in_words(Material.PETG), in_words(Material.COPPER)
    ('CPU block', 'PETG', 'copper')
    """
    return " ".join(part.upper() if part in _IN_CAPITALS else part for part in word.split())


class Part(Frozen):
    """One part of a loop."""

    part_id: str
    """Made by the program; never shown."""
    kind: PartKind
    """What it is."""
    name: str
    """What the builder calls it."""
    volume_m3: float
    """Internal volume [m3]."""
    u_volume_m3: float
    """Standard uncertainty of the internal volume [m3]."""
    max_gauge_pa: float | None = None
    """Highest gauge pressure its maker allows [Pa]; None where the maker gives none."""
    materials: tuple[Material, ...] = ()
    """What touches the coolant."""
    assumed: tuple[str, ...] = ()
    """Which of the figures are typical values ("common practice") and not read off the part."""


def tube_volume(inner_diameter_m: float, length_m: float) -> float:
    """Return the volume of a tube.

    Parameters
    ----------
    inner_diameter_m
        Inner diameter, above 0 [m].
    length_m
        Length, above 0 [m].

    Returns
    -------
    float
        Volume [m3].

    Raises
    ------
    ValueError
        If a dimension is not a positive number.

    Examples
    --------
    One metre of 10 mm bore holds 78.5 mL (π/4 · 1 cm² · 100 cm):

    >>> round(tube_volume(0.010, 1.0) * 1e6, 1)
    78.5
    """
    if not (inner_diameter_m > 0 and length_m > 0 and math.isfinite(inner_diameter_m * length_m)):
        raise ValueError("inner diameter and length must be above 0")
    return math.pi / 4 * inner_diameter_m**2 * length_m
