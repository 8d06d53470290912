"""How an old file comes to the present version: wholly or not at all, and with its guards."""

import sqlite3
from pathlib import Path
from typing import Any

import pytest

from commission.base.errors import Damaged
from commission.storage import migrations, opening, store
from commission.storage.guards import compare_guards
from commission.storage.schema import SCHEMA_VERSION
from tests.registered import open_log
from tests.storage.making import draft, filled, raw

NEXT = SCHEMA_VERSION + 1


@pytest.fixture
def old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a file of the present version while the program is at the next one."""
    path = tmp_path / "x.logbook"
    filled(path).close()
    for module in (migrations, opening, store):
        monkeypatch.setattr(module, "SCHEMA_VERSION", NEXT)
    return path


def _m_remarks(db: Any) -> None:
    # a rebuilt table loses its triggers without a word
    db.table("entry").transform(keep_table="entry_old")
    db.executescript(f"DROP TABLE entry_old; PRAGMA user_version = {NEXT};")


def test_an_old_file_is_brought_up_to_date_and_keeps_its_guards(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(migrations, "STEPS", (*migrations.STEPS, _m_remarks))
    log = open_log(old, holder="tests")
    assert log.read_only_because == ""
    assert log.verify() == []
    assert log.append(draft()).seq == 9
    log.close()
    connection = raw(old)
    assert compare_guards(connection) == []
    assert connection.execute("PRAGMA user_version").fetchone() == (NEXT,)
    names = [name for (name,) in connection.execute("SELECT name FROM _sqlite_migrations ORDER BY id").fetchall()]
    assert names == [step.__name__ for step in migrations.STEPS]
    connection.close()


def test_without_making_the_guards_anew_they_would_be_lost(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The twin of the test above: a rebuilt table has lost its guards, and that is noticed."""
    monkeypatch.setattr(migrations, "STEPS", (*migrations.STEPS, _m_remarks))
    monkeypatch.setattr(migrations, "make_guards", lambda _connection: None)
    with pytest.raises(Damaged, match="the guard entry_no_delete is missing"):
        open_log(old, holder="tests")
    assert _version(old) == (SCHEMA_VERSION, [])


def _version(path: Path) -> tuple[int, list[str]]:
    connection = raw(path)
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    guards = compare_guards(connection)
    connection.close()
    return version, guards


def test_a_step_that_fails_leaves_the_old_file_as_it_was(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def _m_fails(db: Any) -> None:
        db.executescript("DELETE FROM sqlite_sequence; CREATE TABLE half (a);")

    monkeypatch.setattr(migrations, "STEPS", (*migrations.STEPS, _m_fails))
    log = open_log(old, holder="tests")
    assert "no such table: sqlite_sequence" in log.read_only_because
    assert len(log.entries()) == 8
    log.close()
    assert _version(old) == (SCHEMA_VERSION, [])
    connection = raw(old)
    assert connection.execute("SELECT count(*) FROM sqlite_master WHERE name = 'half'").fetchone() == (0,)
    connection.close()


def test_a_step_that_forgets_its_number_is_refused(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def _m_forgets(_db: Any) -> None:
        pass

    monkeypatch.setattr(migrations, "STEPS", (*migrations.STEPS, _m_forgets))
    with pytest.raises(Damaged, match=f"of version {SCHEMA_VERSION} after it was brought to {NEXT}"):
        open_log(old, holder="tests")


def test_a_file_made_by_two_windows_at_once_is_made_once(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    path.touch()
    first, second = (sqlite3.connect(path, isolation_level=None) for _ in range(2))
    migrations.bring_up_to_date(first)
    migrations.bring_up_to_date(second)
    assert first.execute("SELECT count(*) FROM _sqlite_migrations").fetchone() == (len(migrations.STEPS),)
    first.close()
    second.close()
