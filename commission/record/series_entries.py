"""What the program itself writes down about a series of streamed readings while it grows: its columns and its seals."""

from typing import ClassVar

from commission.base.frozen import Frozen

SEAL_ROWS = 60
"""A seal is due when this many readings have none: one minute at one reading a second; our choice, because a seal adds
one entry to the log and what has no seal yet is not protected."""

SEAL_S = 300.0
"""A seal is due when the readings without one span this long [s]; our choice, for loggers that read seldom."""


class SeriesHeaded(Frozen):
    """The columns of the rows that come from here on were named, so that their text can be read again."""

    KIND: ClassVar[str] = "series headed"
    series: str
    """Name of the series."""
    first: int
    """Number of the first reading under these columns."""
    header: str
    """The header row as it came."""


class SeriesSealed(Frozen):
    """Some more readings of a growing series were sealed: from now on no change to them stays unseen."""

    KIND: ClassVar[str] = "series sealed"
    series: str
    """Name of the series."""
    first: int
    """Number of the first reading that it seals."""
    last: int
    """Number of the last one."""
    digest: str
    """SHA-256 over these readings in order, in hexadecimal."""


SeriesEntry = SeriesHeaded | SeriesSealed
"""Entries about a series."""


def seals_of(series: str) -> str:
    """Return what stands in the place of a build's id on the entries about a series, so that no build grows by them."""
    return f"~{series}"
