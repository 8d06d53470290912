"""Streamed samples: a narrow table, quick to fill and to read, sealed by a digest over all of a series.

A sample's canonical form is the JSON list ``[elapsed_s, wall_ms, pressure_pa, air_k, barometer_pa, typed]`` with null
for what was not read; the seal is the SHA-256 of the JSON list of all samples of a series, in order, without spaces.
"""

import hashlib
import math
import sqlite3
from array import array
from collections.abc import Iterable, Iterator, Sequence

from commission.base.errors import Damaged
from commission.record.logged import Sample, SampleColumns, Seal
from commission.storage.canonical import canonical, require_unicode
from commission.storage.codec import encode

Row = tuple[float, int, float | None, float | None, float | None, str]
"""A sample in the order of its columns."""

CHUNK = 2000
"""Samples that are read, digested or exported at a time."""

_COLUMNS = "elapsed_s, wall_ms, pressure_pa, air_k, barometer_pa, typed"


def row_of(sample: Sample) -> Row:
    """Return a sample as a row; raises InputError for a number that is not finite or a text that is not Unicode."""
    # NaN would be stored as NULL without a word, and read as "not measured" ever after
    row: Row = tuple(encode(sample).values())
    require_unicode(sample.typed)
    return row


def series_id(connection: sqlite3.Connection, series: str) -> int | None:
    """Return the number of a series, or None where it has no samples yet."""
    found = connection.execute("SELECT id FROM series WHERE name = ?", (series,)).fetchone()
    return None if found is None else int(found[0])


def count(connection: sqlite3.Connection, series: str) -> int:
    """Return how many samples a series holds."""
    (found,) = connection.execute(
        "SELECT ifnull(max(n), 0) FROM sample WHERE series = (SELECT id FROM series WHERE name = ?)", (series,)
    ).fetchone()
    return int(found)


def ends(connection: sqlite3.Connection) -> dict[str, int]:
    """Return how many samples each series holds, in the order in which they came."""
    names = [name for (name,) in connection.execute("SELECT name FROM series ORDER BY id").fetchall()]
    return {name: count(connection, name) for name in names}


def add(connection: sqlite3.Connection, series: str, rows: Sequence[Row]) -> int:
    """Add rows at the end of a series, inside the caller's transaction, and return how many it then holds."""
    number = series_id(connection, series)
    if number is None:
        (number,) = connection.execute("SELECT ifnull(max(id), 0) + 1 FROM series").fetchone()
        connection.execute("INSERT INTO series (id, name) VALUES (?, ?)", (number, series))
    start = count(connection, series) + 1
    connection.executemany(
        f"INSERT INTO sample (series, n, {_COLUMNS}) VALUES ({number}, ?, ?, ?, ?, ?, ?, ?)",  # noqa: S608
        ((n, *row) for n, row in enumerate(rows, start)),
    )
    return start - 1 + len(rows)


def rows(connection: sqlite3.Connection, series: str, first: int, last: int) -> list[Row]:
    """Return the rows with the numbers first to last; nothing is left half read, which would block other windows."""
    return connection.execute(
        f"SELECT {_COLUMNS} FROM sample"  # noqa: S608
        " WHERE series = (SELECT id FROM series WHERE name = ?) AND n BETWEEN ? AND ? ORDER BY n",
        (series, first, last),
    ).fetchall()


def chunks(connection: sqlite3.Connection, series: str, last: int, first: int = 1) -> Iterator[list[Row]]:
    """Yield the rows from one number up to another, some at a time; raises Damaged where one is missing."""
    for start in range(first, last + 1, CHUNK):
        end = min(start + CHUNK - 1, last)
        part = rows(connection, series, start, end)
        if len(part) != end - start + 1:
            raise Damaged(f"samples {start} to {end} of {series} are not complete")
        yield part


def columns(connection: sqlite3.Connection, series: str) -> SampleColumns:
    """Return a series as columns, with NaN where a value was not read."""
    found = connection.execute(
        "SELECT elapsed_s, pressure_pa, air_k, barometer_pa FROM sample"
        " WHERE series = (SELECT id FROM series WHERE name = ?) ORDER BY n",
        (series,),
    )
    elapsed, pressure, air, barometer = arrays = [array("d") for _ in range(4)]
    try:
        while part := found.fetchmany(CHUNK):  # rows as they are read take several times the room of columns
            for column, values in zip(arrays, zip(*part, strict=True), strict=True):
                column.extend(values if None not in values else (math.nan if one is None else one for one in values))
    except TypeError as error:
        raise Damaged(f"a sample of {series} is not a number; run commission verify and restore a backup") from error
    return SampleColumns(elapsed_s=elapsed, pressure_pa=pressure, air_k=air, barometer_pa=barometer)


def last(connection: sqlite3.Connection, series: str) -> Sample | None:
    """Return the last sample of a series, or None."""
    end = count(connection, series)
    found = rows(connection, series, end, end)
    if not found:
        return None
    elapsed, wall, pressure, air, barometer, typed = found[0]
    return Sample(elapsed_s=elapsed, wall_ms=wall, pressure_pa=pressure, air_k=air, barometer_pa=barometer, typed=typed)


def seal(connection: sqlite3.Connection, series: str, upto: int | None = None) -> Seal:
    """Return count and digest of a series, or of its first samples."""
    end = count(connection, series) if upto is None else upto
    if end == 0:
        return Seal(count=0, digest="")
    return Seal(count=end, digest=digest_of(chunks(connection, series, end)))


def digest_of(parts: Iterable[Sequence[Row]]) -> str:
    """Return the digest of samples that come some at a time.

    Examples
    --------
    ``printf '[[0.0,1,null,null,null,"x"]]' | sha256sum``:

    >>> digest_of([[(0.0, 1, None, None, None, "x")]])[:16]
    '35a3bb8445566ba5'
    """
    digest = Digest()
    for part in parts:
        digest.add(part)
    return digest.text


class Digest:
    """The digest of samples, as far as they came."""

    def __init__(self) -> None:
        self._sha = hashlib.sha256()
        self._between = b"["

    def add(self, part: Sequence[Row]) -> None:
        """Take the next samples."""
        if part:
            self._sha.update(self._between + canonical(part)[1:-1].encode())
            self._between = b","

    @property
    def text(self) -> str:
        """The digest of what came, in hexadecimal."""
        whole = self._sha.copy()
        whole.update(b"]")
        return whole.hexdigest()
