"""Bundles: a whole logbook as lines of JSON, out and in, with its chain and its seals.

One JSON object a line, UTF-8, lines end with a line feed:

1. ``{"bundle":"commission logbook","version":1}``
2. each entry in order: ``{"body":{...},"digest":"..."}``; the body comes first and its text is exactly what the digest
   covers (see ``schemas/entry.schema.json`` and ``chain``)
3. each series, some samples at a time: ``{"first":1,"samples":[[...],...],"series":"..."}`` with the number of the
   first one; a sample is ``[elapsed_s,wall_ms,pressure_pa,air_k,barometer_pa,typed]``
4. ``{"end":{"digest":"...","entries":n,"series":{"<name>":{"count":n,"digest":"..."},...}}}``: the head of the
   chain and the seal of every series

A bundle goes into a new file only, in one transaction: a refused or interrupted import leaves no logbook behind.
"""

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from commission.base.errors import Damaged, FileError
from commission.record.face import Registry
from commission.record.logged import Head
from commission.storage import faults, samples
from commission.storage.bundle import HEADER, Admit, BundleReader
from commission.storage.canonical import JSON_MAX_CHARS, canonical
from commission.storage.chain import next_digest
from commission.storage.connection import connect_for_writing
from commission.storage.files import create_logbook_file, write_new
from commission.storage.identity import absolute, identify
from commission.storage.lock import WriterLock
from commission.storage.migrations import apply_steps
from commission.storage.reread import Reread
from commission.storage.seals import require_sound
from commission.storage.store import SqliteLog

PAGE = 500
"""Entries that are read at a time."""


def export_bundle(log: SqliteLog) -> Iterator[str]:
    """Yield the lines of a bundle, each with its line feed, as the log stood when the first one was asked for.

    Raises Damaged where an entry does not match its digest or readings are not as they were sealed: a bundle of a
    damaged logbook could not be imported, and would look like a backup.
    """
    yield from _lines_upto(log, log.head())


def write_bundle(log: SqliteLog, path: Path) -> Head:
    """Write a bundle to a new file, whole and durable or not at all, and return the head that it holds.

    Raises
    ------
    FileError
        If something has that name already, or the file cannot be written.
    Damaged
        If the log is not sound.
    """
    head = log.head()
    write_new(path, _lines_upto(log, head))
    return head


def _lines_upto(log: SqliteLog, head: Head) -> Iterator[str]:
    with faults.reading():
        if log.has_tables():
            yield from lines_of(log.connection, log.registry, head)
        else:
            yield canonical(HEADER) + "\n"
            yield canonical({"end": {"entries": 0, "digest": "", "series": {}}}) + "\n"


def lines_of(connection: sqlite3.Connection, registry: Registry, head: Head) -> Iterator[str]:
    """Yield the lines of a bundle of what a connection leads to, up to an entry; raises Damaged as `export_bundle`."""
    ends = samples.ends(connection)
    yield canonical(HEADER) + "\n"
    before = ""
    for first in range(1, head.seq + 1, PAGE):
        # whole pages: a row left half read would make other windows wait
        rows = connection.execute(
            "SELECT body, digest FROM entry WHERE seq BETWEEN ? AND ? ORDER BY seq",
            (first, min(first + PAGE - 1, head.seq)),
        ).fetchall()
        for seq, (body, digest) in enumerate(rows, first):
            if next_digest(before, body) != digest:
                raise Damaged(f"entry {seq} does not match its digest; run commission verify and restore a backup")
            before = digest
            yield f'{{"body":{body},"digest":"{digest}"}}\n'
    seals = {}
    for name, last in ends.items():
        require_sound(connection, registry, name, None)
        first = 1
        for part in samples.chunks(connection, name, last):
            yield canonical({"series": name, "first": first, "samples": part}) + "\n"
            first += len(part)
        seals[name] = {"count": last, "digest": samples.seal(connection, name, last).digest}
    yield canonical({"end": {"entries": head.seq, "digest": head.digest, "series": seals}}) + "\n"


def text_lines(source: BinaryIO | Iterable[str]) -> Iterator[str]:
    """Yield the lines of a file or of a list; raises FileError with the line that is too long or not UTF-8."""
    if not hasattr(source, "readline"):
        yield from source
        return
    # readline with a limit: a file without line feeds must not fill the memory
    for number, line in enumerate(iter(lambda: source.readline(JSON_MAX_CHARS + 1), b""), 1):
        if len(line) > JSON_MAX_CHARS:
            raise FileError(f"longer than {JSON_MAX_CHARS} bytes", line=number)
        try:
            yield line.decode("utf-8")
        except UnicodeDecodeError as error:
            raise FileError("not UTF-8 text", line=number) from error


def import_bundle(
    source: BinaryIO | Iterable[str],
    path: Path,
    registry: Registry,
    *,
    admit: Admit | None = None,
    reread: Reread | None = None,
    judge: Callable[[sqlite3.Connection], None] | None = None,
) -> Head:
    """Make a new logbook from a bundle, a binary file or its lines, and return its head; all or nothing.

    Entries are read with the stages of ``registry``. ``admit`` refuses what the program itself would not have stored;
    None asks nothing beyond form, chain and seals.
    ``reread`` reads the text of a streamed reading again: it must say what its values say. ``judge`` looks at the
    verdicts, once all is read, and raises FileError where one is not to come in.

    Raises
    ------
    FileError
        If there is a file at the path, or a line is not as it should be, or the chain or a seal does not hold.
    """
    with faults.opening(path):
        path = absolute(path)
        before = identify(path)
        refuse_taken(path)
        create_logbook_file(path)

    def read(connection: sqlite3.Connection) -> Head:
        head = BundleReader(connection, registry, admit, reread).read(text_lines(source))
        if judge is not None:
            judge(connection)
        return head

    with WriterLock.take(path, "an import"):
        try:
            return _fill(path, read)
        except BaseException:
            if not before.exists:
                path.unlink(missing_ok=True)
            raise


def refuse_taken(path: Path) -> None:
    """Raise FileError where a logbook stands already, which an import never adds to."""
    if identify(path).version:
        raise FileError(f"there is a logbook at {path}; commission merge takes a bundle into one that is there")


def _fill(path: Path, read: Callable[[sqlite3.Connection], Head]) -> Head:
    connection = connect_for_writing(path)
    try:
        connection.execute("BEGIN IMMEDIATE")
        if connection.execute("PRAGMA user_version").fetchone() != (0,):
            raise FileError(f"another window has just written to {path}; a bundle goes into a new file")
        apply_steps(connection)
        head = read(connection)
        connection.execute("COMMIT")
    except faults.FAULTS as error:
        raise faults.refused(error) from error
    finally:
        connection.close()
    return head
