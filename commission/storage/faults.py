"""What SQLite reports, in words that say what happened to the entry and what to do next."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from commission.domain.errors import Damaged, InputError, LogbookError, NotALogbook, NotConfirmed, ReadOnly

_NOTHING = "nothing was stored"


def code_of(error: sqlite3.Error) -> str:
    """Return SQLite's name of an error, such as ``SQLITE_FULL``; empty where the Python module raised it itself."""
    return getattr(error, "sqlite_errorname", "") or ""


def is_disk_fault(error: sqlite3.Error) -> bool:
    """Return whether the disk failed, so that only a look into the file can tell what was stored."""
    return code_of(error).startswith(("SQLITE_FULL", "SQLITE_IOERR", "SQLITE_CANTOPEN"))


def disk_words(error: sqlite3.Error) -> tuple[str, str]:
    """Return what is wrong with the disk, and the cure."""
    if code_of(error) == "SQLITE_FULL":
        return "disk full", "free some space"
    return f"the disk reported an error ({code_of(error).removeprefix('SQLITE_').lower()})", "check the disk"


def refused(error: sqlite3.Error) -> LogbookError | InputError:
    """Return the error of a transaction that was certainly rolled back."""
    code = code_of(error)
    if is_disk_fault(error):
        what, cure = disk_words(error)
        return NotConfirmed(f"{what}: {_NOTHING}; {cure} and press Enter again")
    if code.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return ReadOnly(f"another window is writing: {_NOTHING}; press Enter again")
    if code in {"SQLITE_CONSTRAINT_CHECK", "SQLITE_CONSTRAINT_DATATYPE"}:
        return InputError(f"a value is beyond all bounds ({error}); {_NOTHING}")
    return unusable(error, _NOTHING)


def unusable(error: sqlite3.Error, outcome: str = "nothing was changed") -> LogbookError:
    """Return the error of a file that cannot be read or written as it is."""
    code = code_of(error)
    if code.startswith("SQLITE_READONLY"):
        return ReadOnly(f"the logbook cannot be written ({error}): {outcome}; check the permissions of file and folder")
    if code.startswith("SQLITE_NOTADB"):
        return NotALogbook(f"the file is not a logbook any more: {outcome}; restore it from a backup")
    if code.startswith(("SQLITE_CORRUPT", "SQLITE_CONSTRAINT", "SQLITE_MISMATCH")):
        return Damaged(f"the logbook is damaged ({error}): {outcome}; run commission verify and restore a backup")
    if code.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return ReadOnly(f"another window is writing: {outcome}; try again")
    return LogbookError(f"the logbook cannot be used ({code or type(error).__name__}: {error}): {outcome}")


@contextmanager
def reading() -> Iterator[None]:
    """Turn what SQLite reports while reading into errors of our own."""
    try:
        yield
    except sqlite3.Error as error:
        raise unusable(error) from error
