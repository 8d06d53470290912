"""What a file is, found without changing a byte of it.

The file is looked at through SQLite only: closing any other handle on a database file would drop the locks that this
very process holds on it (SQLite, "How To Corrupt An SQLite Database File", section 2.2).
"""

import sqlite3
from contextlib import closing
from pathlib import Path

from commission.base.errors import LogbookError, NotALogbook
from commission.base.frozen import Frozen
from commission.base.text import clip
from commission.storage.schema import APPLICATION_ID

_JOURNAL_MAGIC = bytes.fromhex("d9d505f920a163d7")


class Identity(Frozen):
    """What stands at a path."""

    exists: bool
    """Whether there is a file."""
    version: int
    """Its ``user_version``; 0 for a file that is new or empty."""


def absolute(path: Path) -> Path:
    """Return the path without links, so that a link and its target meet at the same lock.

    Raises
    ------
    LogbookError
        If it names a home that nobody has, links in a ring, or holds a NUL.
    """
    try:
        return path.expanduser().resolve()
    except (RuntimeError, ValueError) as error:
        why = clip(str(error), 80)
        raise LogbookError(f"the logbook has no usable path ({why}); correct it") from error


def identify(path: Path, application_id: int = APPLICATION_ID, what: str = "logbook") -> Identity:
    """Return what stands at a path; raises NotALogbook where it is neither ours nor empty.

    Raises LogbookError or OSError where it cannot be read.
    """
    if not path.exists():
        return Identity(exists=False, version=0)
    if not path.is_file():
        raise NotALogbook(f"{path} is not a file; give the path of a {what}")
    if path.stat().st_size == 0 or _creation_was_cut(path):
        return Identity(exists=True, version=0)
    found_id, version = _numbers(path, what)
    if found_id != application_id:
        raise NotALogbook(f"{path} is another program's database and was not touched; give the path of a {what}")
    return Identity(exists=True, version=version)


def _numbers(path: Path, what: str) -> tuple[int, int]:
    """Read the header's numbers; ``immutable`` takes no lock and leaves journals and timestamps alone."""
    try:
        file = f"{path.as_uri()}?mode=ro&immutable=1"
        with closing(sqlite3.connect(file, uri=True, isolation_level=None)) as connection:
            # a power cut can leave a file shorter than its header says, until its journal is rolled back; only so does
            # SQLite show the header all the same (found by the simulated power cut; nothing is written here)
            connection.execute("PRAGMA writable_schema = ON")
            (found_id,) = connection.execute("PRAGMA application_id").fetchone()
            (version,) = connection.execute("PRAGMA user_version").fetchone()
    except sqlite3.OperationalError as error:
        raise LogbookError(f"{path} cannot be read ({error}); check its permissions and the disk") from error
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        raise NotALogbook(f"{path} is not a {what} and was not touched; give the path of a {what}") from error
    return found_id, version


def _creation_was_cut(path: Path) -> bool:
    """Return whether a journal stands by that leads back to an empty file: the first write of all was cut off.

    Bytes 16 to 19 of a rollback journal hold the size of the database before the transaction, in pages (SQLite,
    "Database File Format", section 3). Locks lie on the database, not on the journal: it may be opened.
    """
    journal = path.with_name(path.name + "-journal")
    try:
        with journal.open("rb") as file:
            head = file.read(20)
    except OSError:
        return False
    return len(head) == 20 and head.startswith(_JOURNAL_MAGIC) and head[16:20] == bytes(4)
