"""What is recorded of the parts before pressure goes on."""

from dataclasses import dataclass
from typing import ClassVar

from commission.base.quantity import Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRated:
    """The pressure rating of a part became known."""

    KIND: ClassVar[str] = "part rated"
    part_id: str
    """Which part."""
    rating: Measured
    """Highest gauge pressure its maker allows [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLeftOut:
    """A part was left out of the pressure test: no pressure reaches it, and nothing is proved of it."""

    KIND: ClassVar[str] = "part left out"
    part_id: str
    """Which part."""
    reason: str
    """Why."""
