"""How a file comes to the present version: steps that are never edited once they were released, only added to."""

import sqlite3
from typing import TYPE_CHECKING

from commission.base.errors import Damaged
from commission.storage.guards import compare_guards, make_guards
from commission.storage.schema import M001, M002, SCHEMA_VERSION

if TYPE_CHECKING:
    from sqlite_utils import Database, Migrations


def m001_initial(db: "Database") -> None:
    """Make the tables for entries, series and samples."""
    db.executescript(M001)


def m002_found_by_text(db: "Database") -> None:
    """Index build and kind as the sealed text of each entry names them."""
    db.executescript(M002)


STEPS = (m001_initial, m002_found_by_text)
"""Every step in order. A later one ends with ``PRAGMA user_version`` and its own number."""


def steps() -> "Migrations":
    """Return the steps as a set that sqlite-utils can apply."""
    # sqlite-utils costs 40 to 500 ms to import (it loads numpy where that is installed): only files that must be made
    # or brought up to date pay for it, never the opening of a current one.
    from sqlite_utils import Migrations

    found = Migrations("commission")
    for step in STEPS:
        found()(step)
    return found


def bring_up_to_date(connection: sqlite3.Connection) -> None:
    """Apply what is pending and make the guards again in one transaction: the file is old or current, never between.

    The connection must have no authorizer and no transaction yet.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        apply_steps(connection)
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def apply_steps(connection: sqlite3.Connection) -> None:
    """Apply what is pending and make the guards again, inside the caller's transaction.

    What is pending is read under the lock of that transaction: another window may have done it meanwhile.
    """
    from sqlite_utils import Database

    steps().apply(Database(connection, execute_plugins=False))
    make_guards(connection)
    _require_current(connection)


def _require_current(connection: sqlite3.Connection) -> None:
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    if version != SCHEMA_VERSION:
        raise Damaged(f"the file is of version {version} after it was brought to {SCHEMA_VERSION}")
    if wrong := compare_guards(connection):
        raise Damaged(f"after the file was brought up to date: {'; '.join(wrong)}")
