"""A part of a finished machine was changed: which kind it is decides which proofs fall. It belongs to no stage."""

from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen


class PartOf(StrEnum):
    """What a part belongs to."""

    LOOP = "loop"
    """Coolant touches it: block, radiator, pump, reservoir, tube, fitting, seal."""
    FANS = "fans"
    """A chain of fans as logged."""
    SUPPLY = "supply"
    """The power supply, or a cable of it."""
    HEAT_PATH = "heat path"
    """Paste or pads between a chip and its block."""
    OTHER = "other"
    """Anything that no proof rests on, such as a side panel."""


class PartChanged(Frozen):
    """A part was changed for another of its kind, with the machine finished before."""

    KIND: ClassVar[str] = "part changed"
    stage: str
    """Stage at which it was told."""
    of: PartOf
    """What it belongs to."""
    name: str
    """What it is called, as on the parts list or among the chains."""
    target_id: str
    """Id of that part or chain; empty where it is neither."""
    why: str
    """Why, in the builder's words."""
