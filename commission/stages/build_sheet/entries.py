"""What is recorded of the loop: its parts, their ratings, its volume measured on air."""

from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.quantity import Measured
from commission.record.machine.parts import Part


class PartRated(Frozen):
    """The pressure rating of a part became known."""

    KIND: ClassVar[str] = "part rated"
    UNITS: ClassVar[dict[str, str]] = {"rating": "gauge_pa"}
    part_id: str
    """Which part."""
    rating: Measured
    """Highest gauge pressure its maker allows [Pa]."""


class PartLeftOut(Frozen):
    """A part was left out of the pressure test: no pressure reaches it, and nothing is proved of it."""

    KIND: ClassVar[str] = "part left out"
    part_id: str
    """Which part."""
    reason: str
    """Why."""


class PartAdded(Frozen):
    """A part was fitted to the loop."""

    KIND: ClassVar[str] = "part added"
    part: Part
    """Its description."""
    typed: tuple[str, ...] = ()
    """The figures as they were typed."""


class PartRemoved(Frozen):
    """A part was taken out of the loop."""

    KIND: ClassVar[str] = "part removed"
    part_id: str
    """Which one."""
    reason: str
    """Why."""


class PartCorrected(Frozen):
    """A part was described wrongly, and is described again before any hold was started with it."""

    KIND: ClassVar[str] = "part corrected"
    part: Part
    """Its description from now on, under its own id."""
    typed: tuple[str, ...] = ()
    """The figures as they were typed."""


class VolumeMeasured(Frozen):
    """The loop's volume was measured on air."""

    KIND: ClassVar[str] = "volume measured"
    method: str
    """``strokes`` or ``reference volume``."""
    volume_m3: float
    """Result [m3]."""
    u_volume_m3: float
    """Its standard uncertainty [m3]."""
    inputs: tuple[Measured, ...]
    """What was typed for it, in the order asked."""


SheetEntry = PartAdded | PartCorrected | PartRemoved | VolumeMeasured | PartRated | PartLeftOut
"""Every kind of entry that speaks of what the loop consists of."""
