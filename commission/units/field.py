"""What a typed line is asked for."""

from collections.abc import Sequence
from dataclasses import dataclass

from commission.base.quantity import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One value that a line may hold, and the instrument it is read from."""

    key: str
    """Its name for programs; may be typed before a value."""
    label: str
    """Its name for people, such as ``gauge``; may be typed before a value."""
    quantity: Quantity
    """What it is."""
    unit: str
    """The instrument's usual unit, which a bare number has."""
    low: float
    """Lowest value of the instrument [SI]."""
    high: float
    """Highest value of the instrument, its full scale [SI]."""
    resolution: float
    """One step of its display [SI]."""
    optional: bool = False
    """Whether a line may leave it out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One number of a typed line with the words around it."""

    number: str
    """The number as typed."""
    unit: str
    """What followed it up to the next number; empty where nothing did."""
    label: str
    """Key of the field that was named before it; empty where none was."""

    @property
    def text(self) -> str:
        """The number and its unit."""
        return f"{self.number} {self.unit}" if self.unit else self.number


def order_of(fields: Sequence[Field]) -> str:
    """Return the order of the fields as a person needs it, such as ``gauge [mbar], air [degC]``."""
    return ", ".join(f"{f.label} [{f.unit}]" for f in fields)
