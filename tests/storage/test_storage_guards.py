"""No ordinary statement of any program changes, removes or writes over a row.

The list of statements is SQLite's own: UPDATE, DELETE, and INSERT with each of its five conflict clauses, REPLACE,
upsert and ``UPDATE FROM`` (SQLite, "SQL As Understood By SQLite").
"""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.storage.guards import compare_guards, expected_guards
from tests.registered import open_log
from tests.storage.making import draft, filled, raw


def changed_entry(seq: str = "seq", uid: str = "uid") -> str:
    """Return a select of the second entry with another operator, and perhaps another number or id."""
    return (
        f"SELECT {seq}, {uid}, build, kind, 'other', wall_ms, offset_min, mono_ms, boot_ms, boot_id, observed_ms, body,"
        " digest FROM entry WHERE seq = 2"
    )


# key, a column to change, number of a row, and a select of that row with the column changed
ROWS = {
    "entry": ("seq", "operator", 2, changed_entry()),
    "series": ("id", "name", 1, "SELECT id, 'other' FROM series WHERE id = 1"),
    "sample": (
        "n",
        "typed",
        3,
        "SELECT series, n, elapsed_s, wall_ms, pressure_pa, air_k, barometer_pa, 'other' FROM sample WHERE n = 3",
    ),
}


def attacks() -> Iterator[tuple[str, str]]:
    """Yield a table and a statement that would change its rows."""
    for table, (key, column, number, changed) in ROWS.items():
        yield table, f"UPDATE {table} SET {column} = 'other'"
        yield table, f"UPDATE {table} SET {column} = 'other' WHERE {key} = {number}"
        yield table, f"UPDATE {table} SET {key} = {key} + 1000"
        yield table, f"UPDATE {table} SET {column} = 'x' FROM (SELECT 1 AS one) WHERE {key} = one"
        for clause in ("ROLLBACK", "ABORT", "FAIL", "IGNORE", "REPLACE"):
            yield table, f"UPDATE OR {clause} {table} SET {column} = 'other' WHERE {key} = {number}"
            yield table, f"INSERT OR {clause} INTO {table} {changed}"
        yield table, f"DELETE FROM {table}"
        yield table, f"DELETE FROM {table} WHERE {key} = {number}"
        yield table, f"REPLACE INTO {table} {changed}"
        yield table, f"INSERT INTO {table} {changed} ON CONFLICT DO UPDATE SET {column} = 'other'"
        yield table, f"INSERT INTO {table} {changed} ON CONFLICT DO NOTHING"


# A copy of an entry under another number, but with its old id, and one far beyond the end
EXTRA = [
    ("entry", f"INSERT OR REPLACE INTO entry {changed_entry(seq='999')}"),
    ("entry", "INSERT INTO entry " + changed_entry(seq="999", uid="'new'")),
    ("sample", "INSERT INTO sample SELECT series, 999, elapsed_s, wall_ms, 1.0, 1.0, 1.0, 'x' FROM sample WHERE n = 1"),
    ("series", "INSERT OR REPLACE INTO series VALUES (7, 's1')"),
]

ALL = [*attacks(), *EXTRA]


def dump(connection: sqlite3.Connection) -> list[object]:
    return [connection.execute(f"SELECT * FROM {table} ORDER BY 1, 2").fetchall() for table in ROWS]


def got_through(path: Path, recursive: bool, drop: str = "") -> list[str]:
    """Return the statements that changed anything, each tried on its own and rolled back."""
    connection = raw(path)
    connection.execute(f"PRAGMA recursive_triggers = {'ON' if recursive else 'OFF'}")
    if drop:
        connection.execute(f"DROP TRIGGER {drop}")
    before = dump(connection)
    through = []
    refusals: set[str] = set()
    for _, statement in ALL:
        connection.execute("BEGIN")
        try:
            connection.execute(statement)
        except sqlite3.IntegrityError as error:
            refusals.add(str(error).partition(":")[0])
        if dump(connection) != before:
            through.append(statement)
        if connection.in_transaction:
            connection.execute("ROLLBACK")
    connection.close()
    assert refusals <= {"guard", "UNIQUE constraint failed", "FOREIGN KEY constraint failed"}, refusals
    return through


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("guards") / "x.logbook"
    filled(path).close()
    return path


@pytest.mark.parametrize("recursive", [True, False])
def test_no_statement_changes_a_row(file: Path, recursive: bool) -> None:
    assert len(ALL) > 60
    assert got_through(file, recursive) == []


@pytest.mark.parametrize("guard", sorted(expected_guards()))
def test_every_guard_is_needed(tmp_path: Path, guard: str) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    through = got_through(path, recursive=False, drop=guard)
    table, verb = guard.split("_no_")
    assert through, f"without {guard} nothing gets through: the test or the guard is idle"
    word = {"update": "UPDATE", "delete": "DELETE", "insert": "INSERT"}[verb]
    assert all(word in statement or "REPLACE" in statement for statement in through)
    assert all(table in statement for statement in through)


def test_only_the_third_guard_stops_a_replace_from_a_plain_connection(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    through = got_through(path, recursive=False, drop="entry_no_insert")
    assert any(statement.startswith("REPLACE INTO entry") for statement in through)
    assert not any(statement.startswith("DELETE") for statement in through)


def test_an_honest_new_row_still_goes_in(file: Path) -> None:
    log = open_log(file, holder="tests")
    before = log.head().seq
    assert log.append(draft()).seq == before + 1
    log.close()


@pytest.mark.parametrize(
    ("statement", "message"),
    [
        ("DROP TRIGGER entry_no_delete", "the guard entry_no_delete is missing"),
        ("DROP TRIGGER sample_no_insert", "the guard sample_no_insert is missing"),
        ("CREATE TRIGGER extra AFTER INSERT ON entry BEGIN SELECT 1; END", "the trigger extra is not ours"),
        ("CREATE TABLE extra (a)", "the table extra is not ours"),
        ("CREATE VIEW extra AS SELECT 1", "the table extra is not ours"),
        ("ALTER TABLE sample RENAME TO sampled", "the table sample is missing"),
    ],
)
def test_a_missing_or_foreign_guard_is_noticed_and_nothing_more_is_written(
    tmp_path: Path, statement: str, message: str
) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    connection = raw(path)
    connection.execute(statement)
    connection.close()
    log = open_log(path, holder="tests")
    assert message in " ".join(problem.message for problem in log.verify())
    assert "the logbook is damaged" in log.read_only_because
    log.close()


def test_a_guard_that_was_weakened_is_noticed(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    connection = raw(path)
    connection.execute("DROP TRIGGER entry_no_delete")
    connection.execute("CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry WHEN OLD.seq < 0 BEGIN SELECT 1; END")
    assert compare_guards(connection) == ["the guard entry_no_delete was altered"]
    connection.close()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET operator = 'x'",
        "DELETE FROM sample",
        "DROP TABLE entry",
        "DROP TRIGGER entry_no_delete",
        "ALTER TABLE entry ADD COLUMN more TEXT",
        "CREATE TABLE more (a)",
        "ATTACH ':memory:' AS other",
        "PRAGMA writable_schema = ON",
        "PRAGMA user_version = 5",
        "PRAGMA journal_mode = OFF",
        "PRAGMA synchronous = OFF",
        "INSERT INTO sqlite_master VALUES ('table', 'x', 'x', 0, '')",
        "INSERT INTO _sqlite_migrations VALUES (9, 'a', 'b', 'c')",
        "VACUUM",
    ],
)
def test_the_log_s_own_connection_may_only_read_and_add(file: Path, statement: str) -> None:
    log = open_log(file, holder="tests")
    with pytest.raises(sqlite3.DatabaseError, match=r"not authorized|authorization denied|may not be modified"):
        log.connection.execute(statement)
    log.close()
