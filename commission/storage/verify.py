"""Whether a logbook is sound: the file, its guards, its chain, its sealed series."""

import sqlite3
from collections.abc import Iterator

from commission.base.errors import FileError
from commission.base.frozen import replace
from commission.record.entries import Withdrawn
from commission.record.face import Registry
from commission.record.logged import Head, Problem
from commission.record.payload import Payload, SeriesClosed
from commission.record.series_entries import SeriesHeaded, SeriesSealed
from commission.record.unknown import Unknown
from commission.storage import samples
from commission.storage.canonical import canonical
from commission.storage.chain import COLUMNS, Body, differing, next_digest, read_body
from commission.storage.connection import version_of
from commission.storage.faults import FAULTS, damage, one_line
from commission.storage.guards import compare_guards
from commission.storage.reread import Reread
from commission.storage.seals import Seals, closing_faults, growing_faults, text_faults

BATCH = 500
"""Entries that are read at a time."""


def check_quickly(connection: sqlite3.Connection, *, pages: bool = True) -> list[Problem]:
    """Return what is wrong at first sight: pages and references, guards, the last entry."""
    found = []
    if pages:
        found += [
            Problem(seq=0, message=f"pages: {text}") for text in _pragma(connection, "quick_check") if text != "ok"
        ]
        found += _references(connection)
    found += _guards(connection)
    if not found:
        found += _links(connection) if pages else _last_entry(connection)
    return found


def verify(
    connection: sqlite3.Connection, registry: Registry, known: Head | None = None, reread: Reread | None = None
) -> list[Problem]:
    """Return everything that is wrong; an empty list means that all is sound.

    ``reread`` reads the text of a streamed reading again; None leaves out whether it says what its values say.
    """
    found = _everything(connection, registry, known, reread)
    return [replace(problem, message=one_line(problem.message)) for problem in found]


def _everything(
    connection: sqlite3.Connection, registry: Registry, known: Head | None, reread: Reread | None
) -> list[Problem]:
    if version_of(connection) == 0:
        return _known_head(known, "")
    found = [
        Problem(seq=0, message=f"pages: {text}") for text in _pragma(connection, "integrity_check") if text != "ok"
    ]
    found += _references(connection)
    found += _guards(connection)
    if any("is missing" in problem.message and "table" in problem.message for problem in found):
        return found
    return found + list(_Chain(connection, registry, known, reread).problems())


def _pragma(connection: sqlite3.Connection, name: str) -> list[str]:
    try:
        return [str(row[0]) for row in connection.execute(f"PRAGMA {name}").fetchall()]
    except FAULTS as error:
        return [damage(error)]


def _references(connection: sqlite3.Connection) -> list[Problem]:
    try:
        rows = connection.execute("PRAGMA foreign_key_check").fetchall()
    except FAULTS as error:
        return [Problem(seq=0, message=f"references: {damage(error)}")]
    return [Problem(seq=0, message=f"{len(rows)} samples belong to no series")] if rows else []


def _guards(connection: sqlite3.Connection) -> list[Problem]:
    try:
        return [Problem(seq=0, message=text) for text in compare_guards(connection)]
    except FAULTS as error:
        return [Problem(seq=0, message=f"tables: {damage(error)}")]


def broken_at(connection: sqlite3.Connection) -> str:
    """Return where the chain is broken first, in one line; empty where it holds."""
    if version_of(connection) == 0:
        return ""
    return "".join(one_line(problem.message) for problem in _links(connection)[:1])


def _links(connection: sqlite3.Connection) -> list[Problem]:
    """Return the first place where the chain is broken; what the entries say is not looked at."""
    expected, before, last = 1, "", 0
    try:
        while rows := connection.execute(
            "SELECT seq, body, digest FROM entry WHERE seq > ? ORDER BY seq LIMIT ?", (last, BATCH)
        ).fetchall():
            for seq, text, digest in rows:
                if seq != expected:
                    return [Problem(seq=seq, message=f"entry {expected} is missing before entry {seq}")]
                if next_digest(before, text) != digest:
                    return [Problem(seq=seq, message=f"entry {seq} does not match its digest, or the one before it")]
                expected, before = seq + 1, digest
            last = expected - 1
    except FAULTS as error:
        return [Problem(seq=0, message=f"entries: {damage(error)}")]
    return []


def _last_entry(connection: sqlite3.Connection) -> list[Problem]:
    try:
        rows = connection.execute("SELECT seq, body, digest FROM entry ORDER BY seq DESC LIMIT 2").fetchall()
    except FAULTS as error:
        return [Problem(seq=0, message=f"entries: {damage(error)}")]
    if not rows:
        return []
    seq, body, digest = rows[0]
    before = rows[1][2] if len(rows) > 1 else ""
    if next_digest(before, body) == digest:
        return []
    return [Problem(seq=seq, message="the last entry does not match its digest")]


def _known_head(known: Head | None, digest: str) -> list[Problem]:
    if known is None or known.digest == digest:
        return []
    return [Problem(seq=known.seq, message="the head that was written down elsewhere is not in this logbook")]


class _Chain:
    """One walk along the chain."""

    def __init__(
        self, connection: sqlite3.Connection, registry: Registry, known: Head | None, reread: Reread | None
    ) -> None:
        self._connection = connection
        self._registry = registry
        self._reread = reread
        self._grown: dict[str, Seals] = {}
        self._known = known
        self._known_digest = ""
        self._series: dict[tuple[int, str, int], str] = {}
        self._owned: set[str] = set()
        self._closed: dict[int, tuple[str, SeriesClosed]] = {}
        self._withdrawn: set[int] = set()
        self._unknown: list[str] = []

    def problems(self) -> Iterator[Problem]:
        """Yield what is wrong with the entries, then with the series that they seal."""
        try:
            yield from self._entries()
            yield from self._seals()
            yield from self._growing()
            yield from self._unowned()
        except FAULTS as error:
            yield Problem(seq=0, message=f"the entries cannot be read to the end: {damage(error)}")
        yield from _known_head(self._known, self._known_digest)

    def _rows(self) -> Iterator[tuple[int, list[object], str, str]]:
        # NOT INDEXED: the rows themselves are read, not copies of them in an index
        sql = (
            f"SELECT {', '.join(COLUMNS)}, body, digest FROM entry NOT INDEXED"  # noqa: S608
            " WHERE seq > ? ORDER BY seq LIMIT ?"
        )
        last = 0
        while rows := self._connection.execute(sql, (last, BATCH)).fetchall():
            for *values, body, digest in rows:
                yield values[0], values, body, digest
            if rows[-1][0] <= last:
                # in a damaged tree the rows may go round in a circle
                raise sqlite3.DatabaseError("their numbers do not rise")
            last = rows[-1][0]

    def _entries(self) -> Iterator[Problem]:
        expected, before = 1, ""
        for seq, columns, text, digest in self._rows():
            if seq != expected:
                yield Problem(seq=seq, message=f"entry {expected} is missing before it")
            if next_digest(before, text) != digest:
                yield Problem(seq=seq, message="it does not match its digest: it, or the one before it, was changed")
            yield from self._content(seq, columns, text)
            if self._known is not None and seq == self._known.seq:
                self._known_digest = digest
            expected, before = seq + 1, digest

    def _content(self, seq: int, columns: list[object], text: str) -> Iterator[Problem]:
        try:
            body, payload = read_body(text, self._registry)
        except FileError as error:
            yield Problem(seq=seq, message=f"it cannot be read: {error}")
            return
        if wrong := differing(body, columns):
            yield Problem(seq=seq, message=f"its columns differ from its text: {wrong}")
        self._remember(seq, body, payload)

    def _remember(self, seq: int, body: Body, payload: Payload) -> None:
        if isinstance(payload, Unknown):
            self._unknown.append(payload.text)
        for number, kinds in enumerate(self._registry.series):
            if isinstance(payload, kinds.begun):
                self._series[number, body.build, payload.attempt] = payload.series
                self._owned.add(payload.series)
            elif isinstance(payload, kinds.closed):
                series = self._series.get((number, body.build, payload.attempt), "")
                self._closed[seq] = (series, payload)
        if isinstance(payload, Withdrawn):
            self._withdrawn.add(payload.target)
        elif isinstance(payload, SeriesHeaded):
            self._grown.setdefault(payload.series, Seals()).headed.append((seq, payload))
        elif isinstance(payload, SeriesSealed):
            self._grown.setdefault(payload.series, Seals()).sealed.append((seq, payload))

    def _seals(self) -> Iterator[Problem]:
        for seq, (series, closed) in self._closed.items():
            if series in self._grown:
                self._grown[series].closed.append((seq, closed))
            wrong = [Problem(seq=seq, message=text) for text in closing_faults(self._connection, series, closed)]
            yield from wrong
            more = samples.count(self._connection, series) - closed.samples
            if not wrong and more > 0 and self._is_final(seq, series):
                yield Problem(seq=seq, message=f"{more} samples were added after it sealed the series")

    def _growing(self) -> Iterator[Problem]:
        for series, seals in self._grown.items():
            wrong = list(growing_faults(self._connection, series, seals))
            if self._reread is not None and not wrong:
                wrong += text_faults(self._connection, series, seals, self._reread)
            yield from (Problem(seq=seq, message=text) for seq, text in wrong)

    def _unowned(self) -> Iterator[Problem]:
        """Yield the series that no entry began; samples without a series are found with the references.

        One that an entry of an unknown kind names may be that one's.
        """
        # NOT INDEXED: the rows themselves are read, not copies of them in an index
        for (name,) in self._connection.execute("SELECT name FROM series NOT INDEXED ORDER BY id").fetchall():
            if name not in self._owned and not any(canonical(name) in text for text in self._unknown):
                there = samples.count(self._connection, name)
                yield Problem(seq=0, message=f'the series "{name}" with {there} samples belongs to no hold')

    def _is_final(self, seq: int, series: str) -> bool:
        later = [other for other, (name, _) in self._closed.items() if name == series and other > seq]
        return seq not in self._withdrawn and not any(other not in self._withdrawn for other in later)
