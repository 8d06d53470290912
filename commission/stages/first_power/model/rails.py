"""Voltages of a power supply at its plugs, the windows they must keep to, and its signal that all is well."""

from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome


class Revision(StrEnum):
    """The design guide that a supply claims to follow."""

    ATX2 = "ATX2"
    ATX3 = "ATX3"


class Rail(StrEnum):
    """A supply voltage."""

    V12 = "+12 V"
    V5 = "+5 V"
    V3_3 = "+3.3 V"
    STANDBY = "+5VSB"
    MINUS_12 = "-12 V"


class PlugKind(StrEnum):
    """Where a voltage was read; only plugs for graphics cards have a window of their own."""

    BOARD = "board"
    PROCESSOR = "processor"
    GRAPHICS = "graphics"
    OTHER = "other"


class RailReading(Frozen):
    """One voltage at one plug."""

    UNITS: ClassVar[dict[str, str]] = {"volt": ""}
    plug: str
    """The plug, in the builder's words."""
    kind: PlugKind
    """What kind of plug."""
    rail: Rail
    """Which voltage."""
    volt: float
    """What the meter showed [V]."""
    typed: str
    """The same as it was typed, with all its digits."""
    loaded: bool = False
    """Whether the supply was under load."""
    meter_error_v: float = 0.0
    """Largest error of the meter that it was read with [V]; 0 where nobody stated one."""

    @property
    def place(self) -> tuple[str, str, bool]:
        """Where it was read: plug, rail, and whether under load."""
        return self.plug.casefold(), self.rail, self.loaded


def joined(read: Iterable[RailReading], fresh: Sequence[RailReading]) -> tuple[RailReading, ...]:
    """Return readings with fresh ones in place of those that were read at the same places."""
    places = {one.place for one in fresh}
    return (*(one for one in read if one.place not in places), *fresh)


class LeftOut(Frozen):
    """A plug that is not read, and why; the verdict says so."""

    plug: str
    """The plug, or the cable that ends in it."""
    reason: str
    """Why, in the builder's words."""


class RailWindow(Frozen):
    """The window that a voltage must keep to."""

    low_v: float
    """Lowest [V]; the more negative one for a negative rail."""
    high_v: float
    """Highest [V]."""
    source: str
    """Where it comes from."""


class RailRow(Frozen):
    """One voltage with its window."""

    reading: RailReading
    """What was read."""
    window: RailWindow
    """The window."""
    outcome: Outcome
    """Pass, fail, or inconclusive where the meter's own error reaches over an edge."""
    said: Phrase
    """Where it lies."""


class RailsVerdict(Frozen):
    """What the voltages of a supply prove."""

    outcome: Outcome
    """Pass, fail or inconclusive."""
    revision: Revision
    """The guide they were judged by."""
    rows: tuple[RailRow, ...]
    """Every reading with its window, in the order read."""
    reasons: tuple[Phrase, ...]
    """Why, in plain words; the one that decided first."""
    findings: tuple[Phrase, ...]
    """What else was seen, such as a plug that sags."""


class PowerGoodWord(StrEnum):
    """Where the delay of PWR_OK lies."""

    TOO_EARLY = "too early"
    RECOMMENDED = "recommended"
    REQUIRED = "required"
    LEGACY = "older supplies only"
    LEGACY_EDGE = "at the edge of older supplies"
    TOO_LATE = "too late"


class PowerGoodVerdict(Frozen):
    """What the delay of PWR_OK proves."""

    outcome: Outcome
    """Pass, fail or inconclusive."""
    word: PowerGoodWord
    """Where it lies."""
    delay_ms: float
    """The delay [ms]."""
    reason: Phrase
    """Why."""
