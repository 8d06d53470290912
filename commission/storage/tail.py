"""Adding to a series that grows: rows, and in the same transaction the entries that name its columns and seal it."""

import sqlite3
from collections.abc import Callable, Sequence

from commission.base.errors import Damaged
from commission.base.frozen import Frozen
from commission.record.face import Registry
from commission.record.logged import Draft
from commission.record.payload import Payload
from commission.record.series_entries import SEAL_ROWS, SEAL_S, SeriesHeaded, SeriesSealed
from commission.storage import samples
from commission.storage.appending import append_inside
from commission.storage.reread import Reread, false_rows
from commission.storage.seals import CURE, called, found_seals

Stamp = Callable[[Payload], Draft]
"""Makes a draft of an entry about the series, with the clocks of this moment."""


class Tail(Frozen):
    """The end of a series as this program knows it: what it wrote or found there, kept beside the file."""

    sealed: int
    """Number of the last reading that is sealed; 0 where none is."""
    header: str
    """The columns named last; empty where none were."""
    rows: tuple[samples.Row, ...]
    """The readings after the sealed ones."""

    @property
    def count(self) -> int:
        """How many readings the series holds."""
        return self.sealed + len(self.rows)


def find_tail(connection: sqlite3.Connection, registry: Registry, series: str) -> Tail:
    """Return the end of a series as it stands in the file."""
    seals = found_seals(connection, registry, series)
    sealed = seals.sealed_upto
    rows = samples.rows(connection, series, sealed + 1, samples.count(connection, series))
    return Tail(sealed=sealed, header=seals.headed[-1][1].header if seals.headed else "", rows=tuple(rows))


class Due(Frozen, kw_only=False):
    """What is stored about a series beside its rows."""

    stamp: Stamp
    """Makes the drafts."""
    registry: Registry
    """The stages that entries are read with."""
    header: str = ""
    """The header row under which the rows came; empty where there is none."""
    seal: bool = False
    """Whether to seal now."""
    reread: Reread | None = None
    """Reads a row's text again; None where nothing can."""


def add_to_tail(connection: sqlite3.Connection, series: str, rows: Sequence[samples.Row], tail: Tail, due: Due) -> Tail:
    """Add rows inside the caller's transaction and return the new end; what is due for a seal is sealed.

    Raises
    ------
    Damaged
        If the readings without a seal are no longer those that this program stored.
    """
    if samples.count(connection, series) != tail.count:
        raise changed(connection, due.registry, series, tail.sealed + 1, tail.count)
    if due.header and rows and due.header != tail.header:
        append_inside(connection, due.stamp(SeriesHeaded(series=series, first=tail.count + 1, header=due.header)))
        tail = Tail(sealed=tail.sealed, header=due.header, rows=tail.rows)
    if rows:
        samples.add(connection, series, rows)
    tail = Tail(sealed=tail.sealed, header=tail.header, rows=(*tail.rows, *rows))
    if tail.rows and (due.seal or is_due(tail.rows)):
        return _sealed(connection, series, tail, due)
    return tail


def is_due(rows: Sequence[samples.Row]) -> bool:
    """Return whether readings without a seal are so many, or span so long, that they get one."""
    return len(rows) >= SEAL_ROWS or rows[-1][0] - rows[0][0] >= SEAL_S


def _sealed(connection: sqlite3.Connection, series: str, tail: Tail, due: Due) -> Tail:
    first, last = tail.sealed + 1, tail.count
    # what is sealed is read back: a row that somebody changed meanwhile must not get a seal
    stored = samples.rows(connection, series, first, last)
    if tuple(stored) != tail.rows:
        raise changed(connection, due.registry, series, first, last)
    if due.reread is not None:
        headed = found_seals(connection, due.registry, series).headed
        if wrong := false_rows(headed, first, stored, due.reread):
            word = called(connection, due.registry, series)
            raise Damaged(f"reading {wrong[0]} of this {word} holds other values than its text says; {CURE}")
    digest = samples.digest_of([stored])
    append_inside(connection, due.stamp(SeriesSealed(series=series, first=first, last=last, digest=digest)))
    return Tail(sealed=last, header=tail.header, rows=())


def require_unchanged(connection: sqlite3.Connection, registry: Registry, series: str, tail: Tail) -> None:
    """Raise Damaged where the readings without a seal are not those that this program stored or found."""
    first = tail.sealed + 1
    if tuple(samples.rows(connection, series, first, tail.count + 1)) != tail.rows:
        raise changed(connection, registry, series, first, tail.count)


def changed(connection: sqlite3.Connection, registry: Registry, series: str, first: int, last: int) -> Damaged:
    """Return the error that says which readings are not as they were stored."""
    word = called(connection, registry, series)
    return Damaged(f"readings {first} to {last} of this {word} are not as they were stored; {CURE}")
