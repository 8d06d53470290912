"""A table of open data: named columns and rows of plain values; and the entries that tables are made of."""

from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime, timedelta, timezone
from enum import StrEnum

from commission.base.frozen import Frozen
from commission.record.done_at import done_ms
from commission.record.logged import Logged

Cell = str | int | float | bool | None
"""A value of a table; None where nothing was said."""


class Holds(StrEnum):
    """What a column holds."""

    TEXT = "text"
    WHOLE = "whole number"
    NUMBER = "number"
    YES_NO = "true or false"


class Column(Frozen, kw_only=False):
    """A column."""

    name: str
    """Lower case, words joined by ``_``; a figure ends on its unit."""
    holds: Holds = Holds.TEXT
    """What is in it."""


class Table(Frozen):
    """A table, whose rows may be too many for the memory: they are made while they are written, once."""

    name: str
    """Lower case, words joined by ``_``; a list of another table has that one's name, ``__`` and its own."""
    columns: tuple[Column, ...]
    """Its columns, each name once."""
    rows: Iterable[tuple[Cell, ...]]
    """Its rows, each as long as the columns."""


SampleRow = tuple[float, int, float | None, float | None, float | None, str]
"""A streamed reading: elapsed [s], instant [ms since 1970 UTC], pressure [Pa], air [K], barometer [Pa], its text."""

COMMON = (
    Column("entry", Holds.WHOLE),
    Column("withdrawn_by", Holds.WHOLE),
    Column("build"),
    Column("seen"),
)
"""The columns with which every table begins."""


class Marked(Frozen):
    """An entry, and what stands in other entries about it."""

    entry: Logged
    """The entry."""
    build: str
    """Name of its build; empty for what belongs to none."""
    withdrawn_by: int | None
    """Number of the entry that withdrew it; None where it counts."""

    @property
    def common(self) -> tuple[Cell, ...]:
        """What stands in the columns with which every table begins."""
        entry = self.entry
        return entry.seq, self.withdrawn_by, self.build, instant(done_ms(entry), entry.mark.offset_min)


class Source(Frozen):
    """The whole record, ready to be laid out."""

    marked: tuple[Marked, ...]
    """Every entry, in order."""
    samples: Callable[[str], Iterator[SampleRow]]
    """Returns the streamed readings of a series, in order."""

    def of_kind(self, *kinds: type) -> Iterator[Marked]:
        """Yield the entries of some kinds, in order."""
        return (one for one in self.marked if isinstance(one.entry.payload, kinds))


def instant(wall_ms: int, offset_min: int) -> str:
    """Return a moment in ISO 8601 with its offset, to the millisecond; empty for one that no calendar has.

    >>> instant(1_773_475_200_250, 60)
    '2026-03-14T09:00:00.250+01:00'
    """
    try:
        at = datetime.fromtimestamp(wall_ms // 1000, UTC) + timedelta(milliseconds=wall_ms % 1000)
        return at.astimezone(timezone(timedelta(minutes=offset_min))).isoformat(timespec="milliseconds")
    except (OverflowError, OSError, ValueError):
        return ""
