"""One writer at a time: a small file beside the logbook, locked for as long as its holder lives.

The holder commits who it is into ``<name>.lock`` (itself an SQLite file) and then keeps a transaction open on it.
Others can read who it is but cannot begin a transaction of their own; the operating system drops the lock when the
holder ends, however it ends. So nothing stale can lock anybody out, on any system that SQLite runs on.
"""

import os
import sqlite3
import time
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType

from commission.base.errors import LogbookError, NotALogbook, ReadOnly
from commission.storage.faults import not_opened, one_line
from commission.storage.files import create_private
from commission.storage.identity import identify

LOCK_APPLICATION_ID = 0x434C6F6B
"""Stands in the header of each lock file (ASCII ``CLok``)."""

_WAIT_S = 0.25
"""How long a look at the holder may wait for somebody else who looks [s]."""

_CREATE = f"""
PRAGMA application_id = {LOCK_APPLICATION_ID};
CREATE TABLE IF NOT EXISTS holder
    (one INTEGER PRIMARY KEY, program TEXT, pid INTEGER, host TEXT, since_ms INTEGER) STRICT;
"""


class WriterLock:
    """The right to write to a logbook, held until ``close`` or the end of the process."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    @classmethod
    def take(cls, logbook: Path, holder: str) -> "WriterLock":
        """Take the lock; raises ReadOnly that says who holds it or why it cannot be taken."""
        path = lock_path(logbook)
        try:
            identify(path, LOCK_APPLICATION_ID, "lock file")
        except NotALogbook as error:
            raise ReadOnly(f"another file stands where the lock of this logbook goes ({path}); move it away") from error
        except LogbookError as error:
            raise ReadOnly(f"the lock of this logbook: {error}") from error
        except OSError as error:
            raise ReadOnly(f"the lock of this logbook: {not_opened(path, error)}") from error
        try:
            create_private(path)
        except OSError as error:
            raise ReadOnly(f"the folder of the logbook cannot be written ({error.strerror})") from error
        return cls._lock(path, holder)

    @classmethod
    def _lock(cls, path: Path, holder: str) -> "WriterLock":
        # whoever finds it taken is told at once; only the commit may have to wait for somebody who looks
        connection = None
        try:
            connection = sqlite3.connect(path, timeout=0, isolation_level=None, check_same_thread=False)
            connection.execute("BEGIN IMMEDIATE")
            connection.execute(f"PRAGMA busy_timeout = {_WAIT_S * 1000:.0f}")
            for statement in _CREATE.split(";\n"):
                connection.execute(statement)
            connection.execute(
                "INSERT OR REPLACE INTO holder VALUES (1, ?, ?, ?, ?)",
                (holder, os.getpid(), _host(), time.time_ns() // 1_000_000),
            )
            connection.execute("COMMIT")
            connection.execute("PRAGMA busy_timeout = 0")
            connection.execute("BEGIN IMMEDIATE")
        except sqlite3.Error as error:
            if connection is not None:
                connection.close()
            code = getattr(error, "sqlite_errorname", "") or ""
            if code.startswith("SQLITE_BUSY"):
                raise ReadOnly(
                    f"{_who(path)} is writing to this logbook; close that window to write here", held=True
                ) from error
            why = f"the lock file {path} cannot be used ({one_line(error)})"
            raise ReadOnly(f"{why}; check its permissions and the disk") from error
        return cls(connection)

    def close(self) -> None:
        """Give the right back."""
        with suppress(sqlite3.Error):
            self._connection.rollback()
        self._connection.close()

    def __enter__(self) -> "WriterLock":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def lock_path(logbook: Path) -> Path:
    """Return where the lock of a logbook stands."""
    return logbook.with_name(logbook.name + ".lock")


def _host() -> str:
    return os.uname().nodename if hasattr(os, "uname") else os.environ.get("COMPUTERNAME", "")


def _who(path: Path) -> str:
    """Return the holder in words; without details where the file cannot be read at this moment."""
    try:
        file = f"{path.as_uri()}?mode=ro"
        with closing(sqlite3.connect(file, uri=True, timeout=_WAIT_S, isolation_level=None)) as connection:
            row = connection.execute("SELECT program, pid, host, since_ms FROM holder").fetchone()
    except sqlite3.Error:
        row = None
    if row is None:
        return "another window"
    program, pid, host, since_ms = row
    since = datetime.fromtimestamp(since_ms / 1000, UTC).astimezone()
    return f"{program} (process {pid} on {host}, since {since:%Y-%m-%d %H:%M})"
