"""Connections to a logbook file: safe settings, read back, and nothing allowed that the log never does."""

import sqlite3
import sys
from pathlib import Path

from commission.base.errors import Damaged, ReadOnly
from commission.storage.faults import on_error
from commission.storage.schema import TABLES

BUSY_S = 5.0
"""How long a statement waits for another window [s]."""

_COMMON = (
    "PRAGMA foreign_keys = ON",
    "PRAGMA trusted_schema = OFF",
    "PRAGMA cell_size_check = ON",
    "PRAGMA mmap_size = 0",
    "PRAGMA recursive_triggers = ON",
)

_READING = {
    "application_id", "data_version", "foreign_key_check", "foreign_key_list", "integrity_check", "journal_mode",
    "page_count", "page_size", "quick_check", "synchronous", "user_version",
}  # fmt: skip

_ALLOWED = {sqlite3.SQLITE_SELECT, sqlite3.SQLITE_READ, sqlite3.SQLITE_TRANSACTION, sqlite3.SQLITE_FUNCTION}


def connect_for_writing(path: Path) -> sqlite3.Connection:
    """Return a connection whose commits survive a power cut; raises ReadOnly if the file system refuses that.

    The default of SQLite (journal DELETE, synchronous FULL) can lose the last commit at a power cut, because the
    folder is not synchronised after the journal is removed; EXTRA does that too (SQLite, PRAGMA synchronous).
    """
    connection = _connect(path)
    with on_error(connection.close):
        _make_durable(connection)
    return connection


def _make_durable(connection: sqlite3.Connection) -> None:
    # both are read back: SQLite answers with what it got, not with what it was asked for
    (mode,) = connection.execute("PRAGMA journal_mode = DELETE").fetchone()
    connection.execute("PRAGMA synchronous = EXTRA")
    (level,) = connection.execute("PRAGMA synchronous").fetchone()
    if sys.platform == "darwin":
        connection.execute("PRAGMA fullfsync = ON")
    if (mode, level) != ("delete", 3):
        raise ReadOnly(f"the disk does not take safe commits (journal {mode}, synchronous {level})")


def connect_for_reading(path: Path) -> sqlite3.Connection:
    """Return a connection that stores nothing; it may still roll back what a crashed window left half done."""
    connection = _connect(path)
    connection.execute("PRAGMA query_only = ON")
    return connection


def _connect(path: Path) -> sqlite3.Connection:
    # mode=rw never creates a file, and falls back to reading where the file may not be written; one thread opens a log
    # and hands it over to another
    connection = sqlite3.connect(
        f"{path.as_uri()}?mode=rw", uri=True, timeout=BUSY_S, isolation_level=None, check_same_thread=False
    )
    with on_error(connection.close):
        for pragma in _COMMON:
            connection.execute(pragma)
    return connection


def version_of(connection: sqlite3.Connection) -> int:
    """Return the version of a file; 0 means that nothing was ever written to it."""
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    if version >= 1:
        return int(version)
    (pages,) = connection.execute("PRAGMA page_count").fetchone()
    if pages:
        raise Damaged(f"the file says that its version is {version}; restore it from a backup")
    return 0


def only_add(connection: sqlite3.Connection) -> None:
    """Allow reading and adding rows only, from now on: a guard against our own mistakes."""
    connection.set_authorizer(_authorize)


def _authorize(action: int, first: str | None, second: str | None, _database: str | None, _trigger: str | None) -> int:
    allowed = (
        action in _ALLOWED
        or (action == sqlite3.SQLITE_INSERT and first in TABLES)
        or (action == sqlite3.SQLITE_PRAGMA and first in _READING and (second is None or first.endswith("_check")))
    )
    return sqlite3.SQLITE_OK if allowed else sqlite3.SQLITE_DENY


def sqlite_version() -> str:
    """Return the version of the SQLite library that keeps the log."""
    return sqlite3.sqlite_version
