"""A picture of a stage as plain values, for paper and page; what draws it knows no stage."""

from enum import StrEnum

from commission.base.frozen import Frozen


class Look(StrEnum):
    """How a line is drawn; never told by colour alone."""

    DOTS = "dots"
    RINGS = "rings"
    LINE = "line"
    DASHED = "dashed"


class Line(Frozen):
    """Points that belong together, as columns of equal length."""

    name: str
    """What they are, in a few words."""
    look: Look
    """How they are drawn."""
    x: tuple[float, ...]
    """Along the axis [its unit]."""
    y: tuple[float, ...]
    """Up the axis [its unit]."""


class Band(Frozen):
    """A grey band between two lines."""

    name: str
    """What lies in it."""
    x: tuple[float, ...]
    """Along the axis, the same for both edges [its unit]."""
    low: tuple[float, ...]
    """Its lower edge [unit of the axis]."""
    high: tuple[float, ...]
    """Its upper edge [unit of the axis]."""


class Chart(Frozen):
    """One picture."""

    title: str
    """What it is of."""
    said: str
    """What it shows, in words: all that is told by the drawing."""
    across: str
    """What runs along, with its unit."""
    up: str
    """What runs up, with its unit."""
    lines: tuple[Line, ...]
    """Its lines, in the order in which they are drawn."""
    bands: tuple[Band, ...] = ()
    """Bands behind them."""
