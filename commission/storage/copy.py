"""A second logbook file like the first: made by SQLite itself, looked through, whole or not there at all."""

import sqlite3
from contextlib import closing
from pathlib import Path

from commission.base.errors import Damaged, FileError
from commission.record.logged import Head
from commission.storage import faults
from commission.storage.appending import head_of
from commission.storage.connection import connect_for_reading
from commission.storage.files import create_private, new_file, synchronise_file
from commission.storage.reread import Reread
from commission.storage.store import SqliteLog
from commission.storage.verify import verify

PAGES = 2000
"""Pages that are copied at a time, 8 MB: between two times another window can write; our choice."""

MOST_TIMES = 3
"""How often it may begin again, since another window wrote, before all pages are copied at once; our choice."""


def copy_log(log: SqliteLog, path: Path, *, reread: Reread | None = None) -> Head:
    """Copy a logbook to a new file that only its owner can read, and return the end of the chain in it.

    Raises
    ------
    FileError
        If something has that name already, or the file cannot be written.
    Damaged
        If the logbook is not sound: a copy of it would look like a backup.
    """
    with new_file(path) as beside:
        create_private(beside)
        try:
            _copy(log.connection, beside)
            head = _looked_through(log, beside, reread)
        except faults.FAULTS as error:
            why = faults.disk_words(error)[0] if faults.is_disk_fault(error) else faults.one_line(error)
            raise FileError(f"{path} cannot be written ({why}): nothing was left there") from error
        synchronise_file(beside)
    return head


class _Endless(Exception):
    """The copy began again too often."""


def _copy(source: sqlite3.Connection, path: Path) -> None:
    steps = most = 0

    def look(_status: int, _remaining: int, total: int) -> None:
        nonlocal steps, most
        # by the pages at the beginning: whoever writes meanwhile makes them more
        most = most or MOST_TIMES * (1 + total // PAGES)
        steps += 1
        if steps > most:
            raise _Endless

    with closing(sqlite3.connect(path, isolation_level=None)) as target:
        try:
            source.backup(target, pages=PAGES, progress=look, sleep=0.0)
        except _Endless:
            source.backup(target)


def _looked_through(log: SqliteLog, path: Path, reread: Reread | None) -> Head:
    with closing(connect_for_reading(path.absolute())) as connection:
        problems = verify(connection, log.registry, reread=reread) if log.has_tables() else []
        if problems:
            where = f"entry {problems[0].seq}: " if problems[0].seq else ""
            raise Damaged(
                f"the logbook is not sound ({where}{problems[0].message}): nothing was copied; run commission verify"
            )
        return head_of(connection) if log.has_tables() else Head(seq=0, digest="")
