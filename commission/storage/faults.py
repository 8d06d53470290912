"""What SQLite reports, in words that say what happened to the entry and what to do next."""

import errno
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from commission.base.errors import (
    CommissionError,
    Damaged,
    InputError,
    LogbookError,
    NotALogbook,
    NotConfirmed,
    ReadOnly,
)

_NOTHING = "nothing was stored"

Fault = sqlite3.Error | UnicodeDecodeError

FAULTS = (sqlite3.Error, UnicodeDecodeError)
"""What the sqlite3 module raises for a file that is not as it should be: where damage stands in a name or a message,
the module fails to decode it and raises that instead."""


_AROUND = ("SQLITE_BUSY", "SQLITE_LOCKED", "SQLITE_NOMEM", "SQLITE_PERM", "SQLITE_AUTH", "SQLITE_INTERRUPT")


def code_of(error: Fault) -> str:
    """Return SQLite's name of an error, such as ``SQLITE_FULL``; empty where the Python module raised it itself."""
    return getattr(error, "sqlite_errorname", "") or ""


def one_line(text: object) -> str:
    """Return a text in one line with what cannot be printed left out: a damaged file may hold anything."""
    return "".join(letter if letter.isprintable() else "?" for letter in " ".join(str(text).split()))


def is_disk_fault(error: Fault) -> bool:
    """Return whether the disk failed, so that only a look into the file can tell what was stored."""
    return code_of(error).startswith(("SQLITE_FULL", "SQLITE_IOERR", "SQLITE_CANTOPEN"))


def disk_words(error: Fault) -> tuple[str, str]:
    """Return what is wrong with the disk, and the cure."""
    if code_of(error) == "SQLITE_FULL":
        return "disk full", "free some space"
    if code_of(error).startswith("SQLITE_CANTOPEN"):
        # SQLite does not tell which of these it was
        return "the system does not open the file", "check permissions, disk and how many files are open"
    return f"the disk reported an error ({code_of(error).removeprefix('SQLITE_').lower()})", "check the disk"


def not_stored(error: Fault) -> NotConfirmed:
    """Return the error of a disk that failed when it is certain that nothing was stored."""
    what, cure = disk_words(error)
    return NotConfirmed(f"{what}: {_NOTHING}; {cure} and press Enter again")


def refused(error: Fault, *, reading: bool = False) -> CommissionError:
    """Return the error of a transaction that was certainly rolled back.

    ``reading``: whether it was the commit that found the file busy, for which readers are the cause.
    """
    code = code_of(error)
    if is_disk_fault(error):
        return not_stored(error)
    if code.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        doing = "reading" if reading else "writing"
        return ReadOnly(f"another window is {doing}: {_NOTHING}; press Enter again")
    if code in {"SQLITE_CONSTRAINT_CHECK", "SQLITE_CONSTRAINT_DATATYPE"}:
        return InputError(f"a value is outside all bounds ({one_line(error)}); {_NOTHING}")
    return unusable(error, _NOTHING)


def unusable(error: Fault, outcome: str = "nothing was changed") -> CommissionError:
    """Return the error of a file that cannot be read or written as it is."""
    code = code_of(error)
    if code == "SQLITE_READONLY_DBMOVED":
        return ReadOnly(f"the logbook was moved, replaced or deleted while it was open: {outcome}; start again")
    if code.startswith("SQLITE_READONLY"):
        return ReadOnly(
            f"the logbook cannot be written ({one_line(error)}): {outcome}; check the permissions of file and folder"
        )
    if code.startswith("SQLITE_NOTADB"):
        return NotALogbook(f"the file is not a logbook any more: {outcome}; restore it from a backup")
    damaged = code.startswith(("SQLITE_CORRUPT", "SQLITE_CONSTRAINT", "SQLITE_MISMATCH"))
    if damaged or isinstance(error, UnicodeDecodeError):
        return Damaged(
            f"the logbook is damaged ({one_line(error)}): {outcome}; run commission verify and restore a backup"
        )
    if code.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return ReadOnly(f"another window is writing: {outcome}; try again")
    if is_disk_fault(error):
        what, cure = disk_words(error)
        return LogbookError(f"{what}, {one_line(error)}: {outcome}; {cure}")
    return LogbookError(f"the logbook cannot be used ({code or type(error).__name__}: {one_line(error)}): {outcome}")


def damage(error: Fault) -> str:
    """Return the words of an error that speaks of damage.

    Where it speaks of the disk, of memory or of another window it is raised again: what cannot be read for such a
    reason is not damaged by that.
    """
    if isinstance(error, sqlite3.Error) and (is_disk_fault(error) or code_of(error).startswith(_AROUND)):
        raise error
    return str(error)


@contextmanager
def on_error(undo: Callable[[], object]) -> Iterator[None]:
    """Do this where what is done meanwhile does not come to its end, for whatever reason."""
    try:
        yield
    except BaseException:
        undo()
        raise


@contextmanager
def reading() -> Iterator[None]:
    """Turn what SQLite reports while reading into errors of our own."""
    try:
        yield
    except FAULTS as error:
        raise unusable(error) from error


_CURES = {
    errno.EACCES: "check the permissions of file and folder",
    errno.EPERM: "check the permissions of file and folder",
    errno.EMFILE: "too many files are open; close some programs",
    errno.ENFILE: "too many files are open; close some programs",
    errno.EIO: "check the disk",
    errno.ENOSPC: "free some space",
}


def not_opened(path: Path, error: OSError) -> str:
    """Return in words why the system does not open a file, and the cure."""
    why = error.strerror or type(error).__name__
    return f"{path} cannot be opened ({why}); {_CURES.get(error.errno or 0, 'check its path and the disk')}"


@contextmanager
def opening(path: Path) -> Iterator[None]:
    """Turn what the system or SQLite reports while a logbook is opened into errors of our own: never into damage.

    Raises
    ------
    LogbookError
        In one line, with the cure.
    """
    try:
        yield
    except OSError as error:
        raise LogbookError(f"the logbook {not_opened(path, error)}") from error
    except FAULTS as error:
        raise unusable(error) from error
