"""What is recorded of a thermal soak."""

from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.quantity import Measured
from commission.record.machine.joints import Paper
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
    same_as: str = ""
    """The earlier soak with the very same readings, where that was said to be right; empty where none had."""


class ComponentLimited(Frozen):
    """It was typed how warm a component may get: by its maker's word, it counts in place of the procedure's."""

    KIND: ClassVar[str] = "component limited"
    name: str
    """The component, as readings call it."""
    most: Measured
    """The warmest that it may get, by its own sensor."""
    source: str
    """Where that stands, such as the maker's data sheet."""


class HotJointsLooked(Frozen):
    """Joints were touched with dry paper while the machine soaked."""

    KIND: ClassVar[str] = "hot joints looked at"
    SHOWN: ClassVar[str] = "hot joints checked"
    attempt: int
    """Which attempt, from 1."""
    joints: tuple[str, ...]
    """Which joints, one after the other."""
    paper: Paper
    """What the paper showed at them."""
    note: str = ""
    """What the builder added."""


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


SoakEntry = SoakStarted | SoakRead | ComponentLimited | HotJointsLooked | SoakClosed
"""Every kind of entry of a thermal soak."""
