"""What a bundle or another logbook would bring, or brings: into a new logbook, or into one that is there."""

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from commission.base.errors import Damaged, FileError, NotAllowed
from commission.base.frozen import Frozen
from commission.record.again import Again
from commission.record.arrival import Arrival
from commission.record.entries import BuildOpened
from commission.record.face import Registry
from commission.record.logged import Draft, Head
from commission.record.payload import Payload
from commission.storage import faults, samples
from commission.storage.bundle import Admit, BundleReader
from commission.storage.connection import connect_for_writing
from commission.storage.exchange import export_bundle, refuse_taken, text_lines
from commission.storage.identity import absolute, identify
from commission.storage.judged import JudgeAgain, judged_again
from commission.storage.lock import WriterLock
from commission.storage.merge import Merge, Merged, stored_entries
from commission.storage.migrations import apply_steps
from commission.storage.opening import open_log_for_reading
from commission.storage.reread import Reread
from commission.storage.schema import SCHEMA_VERSION
from commission.storage.verify import verify

MAGIC = b"SQLite format 3\x00"
"""The first bytes of a logbook file (SQLite, "Database File Format", 1.3)."""

Stamp = Callable[[Payload], Draft]


class Rules(Frozen):
    """What entries are read with and must keep."""

    registry: Registry
    """The stages."""
    admission: Callable[[], Admit]
    """Makes what refuses entries that the screens would not have stored."""
    reread: Reread
    """Reads the text of a streamed reading again."""
    judge: JudgeAgain
    """Judges the verdicts that come in once more."""


@contextmanager
def source(path: Path, registry: Registry) -> Iterator[Iterable[str]]:
    """Give the lines of a bundle, of that file or of the logbook that it is.

    Raises
    ------
    FileNotFoundError
        If there is none.
    FileError, LogbookError
        If it cannot be read.
    """
    with path.open("rb") as file:
        if file.read(len(MAGIC)) != MAGIC:
            file.seek(0)
            yield text_lines(file)
            return
    with closing(open_log_for_reading(path, registry)) as log:
        yield export_bundle(log)


@contextmanager
def _aside() -> Iterator[sqlite3.Connection]:
    """Give a logbook of our own that is gone afterwards: what outgrows the memory goes to a file without a name."""
    with closing(sqlite3.connect("", isolation_level=None)) as connection:
        yield connection


def look_at_import(lines: Iterable[str], path: Path, rules: Rules) -> Arrival:
    """Return what a new logbook at a path would hold of a bundle, and every refusal; nothing is written."""
    refusals: list[str] = []
    with faults.opening(path):
        try:
            refuse_taken(absolute(path))
        except FileError as error:
            refusals.append(str(error))
    with _aside() as connection:
        head = _read(connection, lines, rules, rules.admission(), refusals)
        again = Again() if refusals else judged_again(connection, rules.registry, rules.judge)
        names = _names(connection, rules.registry)
        counts: dict[str, int] = {}
        for (build,) in connection.execute("SELECT build FROM entry").fetchall():
            counts[build] = counts.get(build, 0) + 1
        return Arrival(
            head=head,
            entries=sum(counts.values()),
            builds=tuple((name, counts[build]) for build, name in names.items()),
            readings=sum(samples.ends(connection).values()),
            refusals=(*refusals, *again.refusals),
            told=again.told,
        )


def _read(
    connection: sqlite3.Connection, lines: Iterable[str], rules: Rules, admit: Admit | None, refusals: list[str]
) -> Head:
    connection.execute("BEGIN")
    apply_steps(connection)
    reader = BundleReader(connection, rules.registry, admit, rules.reread, lambda error: refusals.append(str(error)))
    try:
        head = reader.read(lines)
    except FileError as error:
        refusals.append(str(error))
        head = Head(seq=0, digest="")
    connection.execute("COMMIT")
    return head


def _names(connection: sqlite3.Connection, registry: Registry) -> dict[str, str]:
    found = (one.entry for one in stored_entries(connection, registry))
    return {entry.build: entry.payload.name for entry in found if isinstance(entry.payload, BuildOpened)}


def merge(path: Path, lines: Iterable[str], rules: Rules, stamp: Stamp, *, dry: bool = False) -> Arrival:
    """Take what a bundle has more into the logbook at a path, all of it or nothing, and return what that was.

    ``stamp`` makes the entry that says where it came from. ``dry``: look at a copy, and return every refusal.

    Raises
    ------
    FileError
        If anything is refused and it is not dry; the first refusal, and how many there are.
    LogbookError
        If the logbook cannot be written, or another window writes to it.
    """
    with _aside() as there:
        refusals: list[str] = []
        _read(there, lines, rules, None, refusals)
        if refusals:
            return _done(Arrival(head=Head(seq=0, digest=""), refusals=tuple(refusals)), dry=dry)
        with faults.opening(path), _here(absolute(path), dry=dry) as here:
            here.execute("BEGIN IMMEDIATE")
            try:
                arrival = _merged(here, there, rules, stamp)
                done = _done(arrival, dry=dry)
                here.execute("COMMIT" if arrival.entries or arrival.readings else "ROLLBACK")
            except faults.FAULTS as error:
                raise faults.refused(error) from error
            return done


def _done(arrival: Arrival, *, dry: bool) -> Arrival:
    if arrival.refusals and not dry:
        more = len(arrival.refusals) - 1
        raise FileError(f"{arrival.refusals[0]}{f'; {more} more, which --dry-run tells' if more else ''}")
    return arrival


@contextmanager
def _here(path: Path, *, dry: bool) -> Iterator[sqlite3.Connection]:
    version = identify(path).version
    if version == 0:
        raise FileError(f"there is no logbook at {path} to merge into; commission import makes one")
    if version != SCHEMA_VERSION:
        raise FileError(f"the logbook {path} has format {version}, not {SCHEMA_VERSION}; open it once, then merge")
    if dry:
        with _aside() as copy:
            with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as log:
                log.backup(copy)
            yield copy
        return
    with WriterLock.take(path, "a merge"), closing(connect_for_writing(path)) as connection:
        yield connection  # what is not committed is rolled back as it closes


def _merged(here: sqlite3.Connection, there: sqlite3.Connection, rules: Rules, stamp: Stamp) -> Arrival:
    refusals: list[str] = []
    found = Merged(head=Head(seq=0, digest=""))
    try:
        merge = Merge(here, there, rules.registry, rules.admission(), lambda error: refusals.append(str(error)))
        found = merge.run(stamp)
    except (FileError, Damaged, NotAllowed) as error:
        refusals.append(str(error))
    if not refusals and (found.entries or found.readings):
        for problem in verify(here, rules.registry, reread=rules.reread):
            refusals.append(f"the two do not fit together: entry {problem.seq}: {problem.message}")
    again = Again() if refusals else judged_again(there, rules.registry, rules.judge, found.came)
    names = _names(there, rules.registry)
    return Arrival(
        head=found.head,
        entries=found.entries,
        builds=tuple((names.get(build, build), count) for build, count in found.of_builds.items()),
        readings=found.readings,
        refusals=(*refusals, *again.refusals),
        told=again.told,
    )
