"""Three triggers a table that keep rows as they were written: nothing is changed, removed or written over.

The third one is needed because ``INSERT OR REPLACE`` removes the old row without asking the other two, unless the
connection has set ``recursive_triggers``. Triggers can be dropped, and a library may lose them when it rebuilds a
table: so they are made again after each migration and compared each time a file is opened.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from commission.storage.schema import MIGRATIONS_TABLE, TABLES

_NEW_ROW_IS_NEXT = {
    "entry": (
        "NEW.seq <> (SELECT ifnull(max(seq), 0) + 1 FROM entry) OR EXISTS (SELECT 1 FROM entry WHERE uid = NEW.uid)"
    ),
    "series": (
        "NEW.id <> (SELECT ifnull(max(id), 0) + 1 FROM series) OR EXISTS (SELECT 1 FROM series WHERE name = NEW.name)"
    ),
    "sample": "NEW.n <> (SELECT ifnull(max(n), 0) + 1 FROM sample WHERE series = NEW.series)",
}


def _guard_sql(table: str) -> dict[str, str]:
    """Return name and text of the guards of one table."""
    refuse = f"SELECT RAISE(ABORT, 'guard: rows of {table} are only ever added, at the end')"
    condition = {"update": "", "delete": "", "insert": f" WHEN {_NEW_ROW_IS_NEXT[table]}"}
    return {
        f"{table}_no_{verb}": (
            f"CREATE TRIGGER {table}_no_{verb} BEFORE {verb.upper()} ON {table}{when} BEGIN {refuse}; END"
        )
        for verb, when in condition.items()
    }


def expected_guards() -> dict[str, str]:
    """Return name and text of every guard."""
    return {name: sql for table in TABLES for name, sql in _guard_sql(table).items()}


def make_guards(connection: sqlite3.Connection) -> None:
    """Make every guard again, inside the caller's transaction."""
    for name, sql in expected_guards().items():
        connection.execute(f'DROP TRIGGER IF EXISTS "{name}"')
        connection.execute(sql)


@contextmanager
def without_sample_guard(connection: sqlite3.Connection) -> Iterator[None]:
    """Leave out, inside the caller's transaction, the guard that asks of each new sample whether it is the next.

    Whoever adds a million numbers them himself, and the guard would take most of the time.
    """
    name = "sample_no_insert"
    connection.execute(f'DROP TRIGGER IF EXISTS "{name}"')
    yield
    connection.execute(_guard_sql("sample")[name])


def compare_guards(connection: sqlite3.Connection) -> list[str]:
    """Return in one line each what is missing, altered or foreign among the tables and triggers of a file."""
    rows = connection.execute("SELECT type, name, sql FROM sqlite_master WHERE type <> 'index'").fetchall()
    triggers = {name: sql for kind, name, sql in rows if kind == "trigger"}
    tables = {name for kind, name, _ in rows if kind != "trigger" and not name.startswith("sqlite_")}
    expected = expected_guards()
    found = [f"the guard {name} is missing" for name in expected if name not in triggers]
    found += [f"the guard {name} was altered" for name, sql in expected.items() if triggers.get(name, sql) != sql]
    found += [f"the trigger {name} is not ours" for name in triggers if name not in expected]
    found += [f"the table {name} is missing" for name in TABLES if name not in tables]
    found += [f"the table {name} is not ours" for name in sorted(tables - {*TABLES, MIGRATIONS_TABLE})]
    return found
