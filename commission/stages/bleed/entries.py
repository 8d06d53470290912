"""What is recorded of a bleed."""

from typing import ClassVar

from commission.base.frozen import Frozen
from commission.stages.bleed.model import BleedCycle, BleedVerdict, SqueezeCheck, SqueezeResult
from commission.stages.fill.model.fill import (
    Pour,
)


class BleedStarted(Frozen):
    """Bleeding began: the pump may run from now on."""

    KIND: ClassVar[str] = "bleed started"
    attempt: int
    """Which attempt, from 1."""


class BleedCycleDone(Frozen):
    """One cycle of bleeding was done and looked at."""

    KIND: ClassVar[str] = "bleed cycle done"
    attempt: int
    """Which attempt, from 1."""
    cycle: BleedCycle
    """What was done and seen."""
    pour: Pour | None
    """The top-up that took the place of the air; None where only the level was read."""


class BleedClosed(Frozen):
    """Bleeding was ended and judged."""

    KIND: ClassVar[str] = "bleed closed"
    SHOWN: ClassVar[str] = "bleed ended"
    attempt: int
    """Which attempt, from 1."""
    verdict: BleedVerdict
    """What it proved."""
    program: str
    """Version of the program that judged."""


class AirSqueezed(Frozen):
    """The loop was squeezed to look for trapped air."""

    KIND: ClassVar[str] = "air squeezed"
    attempt: int
    """Which attempt at the bleed, from 1."""
    check: SqueezeCheck
    """What was done and read."""
    result: SqueezeResult
    """What it tells."""


BleedEntry = BleedStarted | BleedCycleDone | AirSqueezed | BleedClosed
"""Every kind of entry of a bleed."""
