"""Speeds and temperatures as the operating system reads them off a board."""

from enum import StrEnum

from commission.base.frozen import Frozen


class ReadState(StrEnum):
    """How reading a value went."""

    READ = "read"
    DISABLED = "disabled"
    ABSENT = "absent"
    ERROR = "read error"
    BUSY = "busy"
    GONE = "device gone"
    UNSUPPORTED = "not supported"
    FORBIDDEN = "not permitted"
    NOT_A_NUMBER = "not a number"
    SKIPPED = "not read in time"


class ZeroMeaning(StrEnum):
    """What a speed of 0 may mean: the chip itself cannot tell these apart."""

    STOPPED = "stopped"
    TOO_SLOW = "turns too slowly to be counted"
    NO_TACH = "no tach signal"
    NOTHING_PLUGGED = "nothing is plugged in"


class FanSensor(Frozen):
    """One speed input of a chip."""

    number: int
    """Its number in the chip; need not agree with the print on the board."""
    label: str
    """What the driver calls it; ``fan`` and its number where it gives no name."""
    rpm: float | None
    """Speed [rpm]; None where it could not be read."""
    state: ReadState
    """How reading went."""
    fault: bool
    """Whether the chip says that the channel is not to be trusted."""
    alarm: bool
    """Whether the chip raises an alarm for it."""

    @property
    def zero_may_mean(self) -> tuple[ZeroMeaning, ...]:
        """What its speed may mean where it is 0; empty where it is not."""
        return tuple(ZeroMeaning) if self.rpm == 0 else ()


class TemperatureSensor(Frozen):
    """One temperature input of a chip."""

    number: int
    """Its number in the chip."""
    label: str
    """What the driver calls it; ``temp`` and its number where it gives no name."""
    kelvin: float | None
    """Temperature [K]; None where it could not be read."""
    state: ReadState
    """How reading went."""
    fault: bool
    """Whether the chip says that the channel is not to be trusted."""


class ChipReading(Frozen):
    """One chip with everything on it."""

    name: str
    """Name that its driver gives."""
    device: str
    """Where it sits in the machine; stays the same when chips are renumbered."""
    fans: tuple[FanSensor, ...]
    """Speeds, by number."""
    temperatures: tuple[TemperatureSensor, ...]
    """Temperatures, by number."""


class BoardReading(Frozen):
    """Everything that the operating system reads at one moment."""

    at_s: float
    """When, on a clock that never steps [s]."""
    chips: tuple[ChipReading, ...]
    """Chips, by name and place."""
    missing: str = ""
    """Why there is nothing, in one line; empty where there is something."""
