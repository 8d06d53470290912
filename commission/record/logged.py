"""Entries on their way into the log and as they stand in it, and streamed samples."""

from collections.abc import Sequence

from commission.base.clock import ClockMark
from commission.base.frozen import Frozen
from commission.record.payload import Payload


class Draft(Frozen):
    """An entry that is to be stored."""

    uid: str
    """Made by the caller; storing the same draft twice stores it once."""
    build: str
    """Id of the build it belongs to; empty for the workshop's shared things."""
    operator: str
    """Who did it; empty where nobody was named yet."""
    mark: ClockMark
    """The clocks when it was entered."""
    observed_ms: int | None = None
    """When it was seen, if that was typed later than it happened [ms since 1970 UTC]."""
    payload: Payload
    """What was done."""


class Logged(Frozen):
    """An entry as it stands in the log."""

    seq: int
    """Its place in the log, from 1, without gaps."""
    uid: str
    """Its id, made by the caller."""
    build: str
    """Id of the build it belongs to; empty for the workshop's shared things."""
    operator: str
    """Who did it."""
    mark: ClockMark
    """The clocks when it was entered."""
    observed_ms: int | None
    """When it was seen, if that was typed later than it happened [ms since 1970 UTC]."""
    payload: Payload
    """What was done."""
    digest: str
    """SHA-256 of the previous entry's digest and this entry's canonical text, in hexadecimal."""


class Sample(Frozen):
    """One line that an instrument streamed."""

    elapsed_s: float
    """Time since the hold began [s]."""
    wall_ms: int
    """Wall clock on arrival [ms since 1970 UTC]."""
    pressure_pa: float | None
    """Gauge or absolute pressure, as the plan's gauge reads [Pa]."""
    air_k: float | None
    """Air temperature [K]."""
    barometer_pa: float | None
    """Barometer [Pa]."""
    typed: str
    """The line as it came."""


class SampleColumns(Frozen):
    """The samples of a series as columns of equal length, in order; NaN where a value was not read."""

    elapsed_s: Sequence[float]
    """Time since the hold began [s]."""
    pressure_pa: Sequence[float]
    """Pressure [Pa]."""
    air_k: Sequence[float]
    """Air temperature [K]."""
    barometer_pa: Sequence[float]
    """Barometer [Pa]."""


class Seal(Frozen):
    """How many samples a series holds, and their digest."""

    count: int
    """Number of samples."""
    digest: str
    """SHA-256 over the samples in order, in hexadecimal; empty where there are none."""


class Unsealed(Frozen):
    """The last readings of a series, which no seal protects yet."""

    series: str
    """Name of the series."""
    count: int
    """Number of readings."""


class Head(Frozen):
    """The end of the chain; written down outside the log, it makes a cut tail visible."""

    seq: int
    """Number of the last entry; 0 in an empty log."""
    digest: str
    """Its digest; empty in an empty log."""


class Problem(Frozen):
    """Something in the log that does not fit, beside the entry that it concerns."""

    seq: int
    """Number of the entry; 0 where it concerns the file."""
    message: str
    """What is wrong, in one line."""
