"""What is recorded of a thermal soak."""

from typing import ClassVar

from commission.base.frozen import Frozen
from commission.stages.thermal_soak.model import SoakPlan, SoakReading, SoakVerdict


class SoakStarted(Frozen):
    """The load was put on, and the soak's clock began."""

    KIND: ClassVar[str] = "soak started"
    attempt: int
    """Which attempt, from 1."""
    plan: SoakPlan
    """What is known of coolant and displays."""


class SoakRead(Frozen):
    """Temperatures were read, once or as a file holds them."""

    KIND: ClassVar[str] = "soak read"
    attempt: int
    """Which attempt, from 1."""
    readings: tuple[SoakReading, ...]
    """The readings in order of time."""
    file: str = ""
    """Name of the file; empty where it was typed."""


class SoakClosed(Frozen):
    """The soak was ended and judged."""

    KIND: ClassVar[str] = "soak closed"
    SHOWN: ClassVar[str] = "soak ended"
    attempt: int
    """Which attempt, from 1."""
    verdict: SoakVerdict
    """What it proved."""
    program: str
    """Version of the program that judged."""


SoakEntry = SoakStarted | SoakRead | SoakClosed
"""Every kind of entry of a thermal soak."""
