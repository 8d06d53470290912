"""The seals of one series: those set while it grew, and those of the entries that closed its hold."""

import json
import sqlite3
from collections.abc import Iterator

from commission.base.errors import Damaged, FileError, InputError
from commission.record.face import Registry, SeriesKinds
from commission.record.logged import Unsealed
from commission.record.payload import Payload, SeriesClosed
from commission.record.series_entries import SEAL_ROWS, SeriesHeaded, SeriesSealed, seals_of
from commission.storage import samples
from commission.storage.chain import next_digest, read_body
from commission.storage.reread import Reread, false_rows
from commission.storage.schema import BUILD_IN_BODY, KIND_IN_BODY

CURE = "run commission verify and restore a backup"


class Seals:
    """What the log says of one series; each entry with its number."""

    def __init__(self) -> None:
        self.started = 0
        """Number of the entry that began it; 0 where none was found."""
        self.word = "series"
        """What the attempt is called whose readings these are."""
        self.headed: list[tuple[int, SeriesHeaded]] = []
        """Columns of its rows."""
        self.sealed: list[tuple[int, SeriesSealed]] = []
        """Seals set while it grew."""
        self.closed: list[tuple[int, SeriesClosed]] = []
        """Seals of all of it."""

    @property
    def sealed_upto(self) -> int:
        """Number of the last reading sealed while it grew."""
        return self.sealed[-1][1].last if self.sealed else 0

    @property
    def first_entry(self) -> int:
        """Number of the first entry that says something of it; 0 where none does."""
        numbers = [self.started, *(seq for seq, _ in (*self.headed, *self.sealed))]
        return min((seq for seq in numbers if seq), default=0)


def found_seals(connection: sqlite3.Connection, registry: Registry, series: str) -> Seals:
    """Return what the log says of a series; an entry is found by its column or by its sealed text."""
    seals = Seals()
    for seq, text in _texts(connection, "build", BUILD_IN_BODY, seals_of(series)):
        payload = _payload(seq, text, registry)
        if isinstance(payload, SeriesHeaded):
            seals.headed.append((seq, payload))
        elif isinstance(payload, SeriesSealed):
            seals.sealed.append((seq, payload))
    return seals


def found_closings(connection: sqlite3.Connection, registry: Registry, series: str, seals: Seals) -> None:
    """Add the entries that began a series and closed it."""
    for kinds in registry.series:
        _closings(connection, registry, kinds, series, seals)


def _closings(
    connection: sqlite3.Connection, registry: Registry, kinds: SeriesKinds, series: str, seals: Seals
) -> None:
    name = json.dumps(series, ensure_ascii=False)
    for seq, text in _texts(connection, "kind", KIND_IN_BODY, kinds.begun.KIND):
        if name not in text:
            continue
        body, payload = read_body(text, registry)
        if not isinstance(payload, kinds.begun) or payload.series != series:
            continue
        seals.started, seals.word = seq, _called(registry, payload)
        for number, other in _texts(connection, "build", BUILD_IN_BODY, body.build):
            if kinds.closed.KIND not in other:
                continue
            closing = _payload(number, other, registry)
            if isinstance(closing, kinds.closed) and closing.attempt == payload.attempt:
                seals.closed.append((number, closing))


def _called(registry: Registry, begun: Payload) -> str:
    face = registry.of(begun)
    return "series" if face is None else face.called


def called(connection: sqlite3.Connection, registry: Registry, series: str) -> str:
    """Return what the attempt is called whose readings a series holds."""
    seals = Seals()
    found_closings(connection, registry, series, seals)
    return seals.word


def _texts(connection: sqlite3.Connection, column: str, in_body: str, value: str) -> list[tuple[int, str]]:
    written = json.dumps(value, ensure_ascii=False)[1:-1]
    # a body that was made no text is told where every entry is read
    return connection.execute(
        f"SELECT seq, body FROM entry WHERE ({column} = ? OR {in_body} = ?) AND typeof(body) = 'text' ORDER BY seq",  # noqa: S608
        (value, written),
    ).fetchall()


def _payload(seq: int, text: str, registry: Registry) -> object:
    try:
        return read_body(text, registry)[1]
    except FileError as error:
        raise Damaged(f"entry {seq} cannot be read: {error}; {CURE}") from error


def growing_faults(connection: sqlite3.Connection, series: str, seals: Seals) -> Iterator[tuple[int, str]]:
    """Yield what is wrong with the readings that were sealed while a series grew, beside the number of the seal."""
    there, before = samples.count(connection, series), 0
    for seq, one in seals.sealed:
        if one.first != before + 1 or one.last < one.first:
            yield seq, f"it seals readings {one.first} to {one.last}, but {before + 1} is the next one without a seal"
        elif one.last > there:
            yield seq, f"it seals readings {one.first} to {one.last}, but there are {there}"
        elif _digest(connection, series, one.last, one.first) != one.digest:
            yield seq, f"readings {one.first} to {one.last}, which it seals, were changed"
        before = one.last
    last = max([seq for seq, _ in (*seals.headed, *seals.sealed)], default=0)
    if last and not seals.closed and there - before >= SEAL_ROWS:
        yield last, f"{there - before} readings after it have no seal, but every {SEAL_ROWS} get one: one is missing"


def text_faults(
    connection: sqlite3.Connection, series: str, seals: Seals, reread: Reread, first: int = 1
) -> Iterator[tuple[int, str]]:
    """Yield which readings hold other values than their text says, from one number on."""
    if not seals.headed:
        return
    number = first
    for part in samples.chunks(connection, series, samples.count(connection, series), first):
        for wrong in false_rows(seals.headed, number, part, reread):
            yield seals.headed[0][0], f"reading {wrong} holds other values than its text says"
        number += len(part)


def closing_faults(connection: sqlite3.Connection, series: str, closed: SeriesClosed) -> Iterator[str]:
    """Yield what is wrong with the readings that the end of a hold sealed."""
    there = samples.count(connection, series)
    if there < closed.samples:
        yield f"it seals {closed.samples} samples, but there are {there}"
    elif _digest(connection, series, closed.samples) != closed.digest:
        yield "the samples it seals were changed"


def _digest(connection: sqlite3.Connection, series: str, last: int, first: int = 1) -> str:
    if last == 0:
        return ""
    try:
        return samples.digest_of(samples.chunks(connection, series, last, first))
    except (InputError, Damaged) as error:
        return str(error)


def require_sound(connection: sqlite3.Connection, registry: Registry, series: str, reread: Reread | None) -> None:
    """Raise Damaged, in one line, where readings are not as they were sealed, or their text says otherwise.

    Looked at are the readings of one series, its seals, and the chain from the beginning of its hold to the end.
    """
    seals = found_seals(connection, registry, series)
    found_closings(connection, registry, series, seals)
    faults = list(growing_faults(connection, series, seals))
    for seq, closed in seals.closed:
        faults += [(seq, text) for text in closing_faults(connection, series, closed)]
    if reread is not None and not faults:
        faults += text_faults(connection, series, seals, reread, seals.sealed_upto + 1)
    if not faults and seals.first_entry:
        faults += _link_faults(connection, seals.first_entry)
    if faults:
        raise Damaged(
            f"the readings of this {seals.word} cannot be judged: entry {faults[0][0]}: {faults[0][1]}; {CURE}"
        )


def _link_faults(connection: sqlite3.Connection, first: int) -> Iterator[tuple[int, str]]:
    """Yield where the chain is broken from an entry on: a seal that was taken out, or changed, leaves a gap."""
    rows = connection.execute("SELECT seq, body, digest FROM entry WHERE seq >= ? ORDER BY seq", (first - 1,))
    expected, before = first - 1 or 1, "" if first == 1 else None
    for seq, text, digest in rows.fetchall():
        if seq != expected:
            yield seq, f"entry {expected} is missing before it"
        elif before is not None and next_digest(before, text) != digest:
            yield seq, "it does not match its digest: it, or the one before it, was changed"
        expected, before = seq + 1, digest


def unsealed_in(connection: sqlite3.Connection, registry: Registry) -> list[Unsealed]:
    """Return how many readings at the end of each series have no seal."""
    found = []
    for (series,) in connection.execute("SELECT name FROM series ORDER BY id").fetchall():
        seals = found_seals(connection, registry, series)
        found_closings(connection, registry, series, seals)
        sealed = max([seals.sealed_upto, *(closed.samples for _, closed in seals.closed)])
        if (count := samples.count(connection, series) - sealed) > 0:
            found.append(Unsealed(series=series, count=count))
    return found
