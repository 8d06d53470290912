"""How a log is opened: for writing where that is possible, else read-only with the reason in words."""

import os
from contextlib import closing
from pathlib import Path

from commission.base.errors import FileError, ReadOnly
from commission.record.face import Registry
from commission.storage import faults
from commission.storage.connection import connect_for_writing, version_of
from commission.storage.files import create_logbook_file
from commission.storage.identity import absolute, identify
from commission.storage.lock import WriterLock
from commission.storage.migrations import bring_up_to_date
from commission.storage.reread import Reread
from commission.storage.schema import SCHEMA_VERSION
from commission.storage.store import SqliteLog
from commission.storage.verify import check_quickly

QUICK_CHECK_BYTES = 1024 * 1024
"""Up to this size (about 10 ms) the pages are checked while the file is opened; those of a larger one by verify."""


def open_log(path: Path, registry: Registry, *, holder: str, reread: Reread | None = None) -> SqliteLog:
    """Open a logbook for writing, or read-only where it cannot be written; ``read_only_because`` then says why.

    A file that is not there is made, with its folder, readable by its owner only; it stays empty until the first
    entry. Entries are read with the stages of ``registry``. ``holder`` is the name under which other windows see this
    one. ``reread`` reads the text of a streamed reading again, to compare it with the values stored beside it.

    Raises
    ------
    NotALogbook
        If the path is something else; it was not touched.
    ReadOnly
        If there is no such file and none can be made.
    LogbookError
        If the system or the disk does not let it be opened.
    """
    with faults.opening(path):
        return _opened(absolute(path), registry, holder, reread)


def _opened(path: Path, registry: Registry, holder: str, reread: Reread | None) -> SqliteLog:
    identity = identify(path)
    if identity.version > SCHEMA_VERSION:
        return SqliteLog(path, registry, read_only_because=_newer(identity.version), reread=reread)
    if not identity.exists:
        create_logbook_file(path)

    def take() -> WriterLock:
        return _taken(path, holder)

    try:
        lock = take()
    except ReadOnly as error:
        again = take if error.held else None
        return SqliteLog(path, registry, read_only_because=str(error), reread=reread, take=again)
    with faults.on_error(lock.close):
        return SqliteLog(path, registry, lock=lock, reread=reread)


def _taken(path: Path, holder: str) -> WriterLock:
    """Return the right to write; raises ReadOnly where another window writes, or nobody could."""
    lock = WriterLock.take(path, holder)
    with faults.on_error(lock.close):
        if because := _reason_not_to_write(path):
            raise ReadOnly(because)
    return lock


def open_log_for_reading(path: Path, registry: Registry, *, reread: Reread | None = None) -> SqliteLog:
    """Open a logbook that must be there, without a lock: it can be read while another window writes.

    Raises
    ------
    FileError
        If there is no such file.
    NotALogbook
        If the path is something else; it was not touched.
    LogbookError
        If the system or the disk does not let it be opened.
    """
    with faults.opening(path):
        path = absolute(path)
        identity = identify(path)
        if not identity.exists:
            raise FileError(f"there is no logbook at {path}")
        newer = identity.version > SCHEMA_VERSION
        because = _newer(identity.version) if newer else "it was opened for reading"
        return SqliteLog(path, registry, read_only_because=because, reread=reread)


def _newer(version: int) -> str:
    return (
        f"a newer version of this program wrote the logbook (format {version}, this one "
        f"knows {SCHEMA_VERSION}). It is shown read-only, and what is not known is named "
        "only. Update the program to write"
    )


def _reason_not_to_write(path: Path) -> str:
    """Try whether the file can be written, bring an old one up to date, look for damage; return what stands against."""
    if not os.access(path, os.W_OK):
        return f"the file {path} is write-protected"
    try:
        with closing(connect_for_writing(path)) as connection:
            connection.execute("BEGIN IMMEDIATE")
            connection.execute("ROLLBACK")
            version = version_of(connection)
            if version == 0:
                return ""
            if version < SCHEMA_VERSION:
                bring_up_to_date(connection)
            problems = check_quickly(connection, pages=path.stat().st_size <= QUICK_CHECK_BYTES)
    except faults.FAULTS as error:
        return str(faults.unusable(error))
    except OSError as error:
        return faults.not_opened(path, error)
    except ReadOnly as error:
        return str(error)
    if not problems:
        return ""
    return (
        f"the logbook is damaged ({faults.one_line(problems[0].message)}): run commission verify and restore a backup"
    )
