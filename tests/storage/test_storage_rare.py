"""What hardly ever happens, and must be a clear line all the same."""

import sqlite3
from pathlib import Path
from typing import Any

import pytest

from commission.base.errors import Damaged, InputError, ReadOnly
from commission.record.logged import Head
from commission.stages.pressure_hold.model import HoldSetup
from commission.storage import connection as connections
from commission.storage import opening
from commission.storage.canonical import canonical
from commission.storage.chain import next_digest
from commission.storage.codec import decode, encode
from commission.storage.guards import make_guards
from commission.storage.lock import lock_path
from commission.storage.verify import check_quickly
from tests.registered import open_log, open_log_for_reading
from tests.storage.making import draft, filled, raw, without_guards


class Stubborn:
    """A connection to a file system that keeps its own mind about journals."""

    def __init__(self, mode: str, level: int) -> None:
        self._answers = {"PRAGMA journal_mode = DELETE": (mode,), "PRAGMA synchronous": (level,)}
        self._answer: Any = None

    def execute(self, sql: str) -> "Stubborn":
        self._answer = self._answers.get(sql)
        return self

    def fetchone(self) -> Any:
        return self._answer

    def close(self) -> None:
        pass


@pytest.mark.parametrize(("mode", "level"), [("wal", 3), ("memory", 3), ("off", 3), ("delete", 2), ("delete", 0)])
def test_a_file_system_that_refuses_safe_commits_is_not_written_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: str, level: int
) -> None:
    filled(tmp_path / "x").close()
    real = connections._connect
    monkeypatch.setattr(connections, "_connect", lambda _path: Stubborn(mode, level))
    with pytest.raises(ReadOnly, match=f"does not take safe commits .journal {mode}, synchronous {level}"):
        connections.connect_for_writing(tmp_path / "x")
    monkeypatch.setattr(connections, "_connect", real)
    monkeypatch.setattr(opening, "connect_for_writing", lambda _path: connections._make_durable(Stubborn(mode, level)))  # type: ignore[arg-type]
    log = open_log(tmp_path / "x", holder="tests")
    assert "does not take safe commits" in log.read_only_because
    assert len(log.entries()) == 8
    log.close()


def test_true_and_false_are_no_numbers() -> None:
    plain = encode(HoldSetup(volume_m3=1.0, u_volume_m3=0.0, limit_pa_m3_s=1.0, gauge_step_pa=1.0, absolute=True))
    assert plain["absolute"] is True
    assert decode(HoldSetup, plain).absolute is True
    with pytest.raises(Exception, match="true or false was expected, not 1"):
        decode(HoldSetup, plain | {"absolute": 1})
    with pytest.raises(InputError, match="true or false was expected, not 'yes'"):
        encode(HoldSetup(volume_m3=1.0, u_volume_m3=0.0, limit_pa_m3_s=1.0, gauge_step_pa=1.0, absolute="yes"))  # type: ignore[arg-type]


@pytest.mark.parametrize("value", [float("nan"), float("inf"), {"a": [float("-inf")]}, b"x", {1, 2}])
def test_what_is_no_plain_data_has_no_text(value: object) -> None:
    with pytest.raises(InputError, match=r"NaN or infinite|cannot be written as text"):
        canonical(value)


@pytest.mark.parametrize("body", ["{}", '{"payload":{}}', "[]", "x", '{"payload":5,"kind":"note added"}'])
def test_an_entry_with_a_right_digest_and_a_wrong_text_is_damage(tmp_path: Path, body: str) -> None:
    filled(tmp_path / "x").close()
    connection = without_guards(tmp_path / "x")
    (before,) = connection.execute("SELECT digest FROM entry WHERE seq = 7").fetchone()
    connection.execute("UPDATE entry SET body = ?, digest = ? WHERE seq = 8", (body, next_digest(before, body)))
    make_guards(connection)
    connection.close()
    log = open_log_for_reading(tmp_path / "x")
    with pytest.raises(Damaged, match="entry 8 cannot be read"):
        log.entries()
    assert [problem.seq for problem in log.verify()] == [8]
    log.close()


def test_a_roll_back_that_fails_is_left_to_the_journal(tmp_path: Path) -> None:
    log = filled(tmp_path / "x")
    real = log.connection

    class Broken:
        in_transaction = True

        def execute(self, sql: str, *values: Any) -> Any:
            if sql.startswith(("INSERT", "ROLLBACK")):
                raise sqlite3.OperationalError("disk I/O error")
            return real.execute(sql, *values)

        def close(self) -> None:
            real.close()

    log._connection = Broken()  # type: ignore[assignment]
    with pytest.raises(Exception, match="nothing was stored"):
        log.append(draft())
    assert log.head().seq == 8
    assert log.append(draft()).seq == 9
    assert log.verify() == []
    log.close()


def test_a_lock_file_that_is_damaged_is_named(tmp_path: Path) -> None:
    path = tmp_path / "x"
    filled(path).close()
    connection = raw(lock_path(path))
    connection.execute("DROP TABLE holder")
    connection.execute("CREATE VIEW holder AS SELECT 1")
    connection.close()
    log = open_log(path, holder="tests")
    assert f"the lock file {lock_path(path)} cannot be used" in log.read_only_because
    assert len(log.entries()) == 8
    log.close()


def test_a_holder_that_cannot_be_read_is_another_window(tmp_path: Path) -> None:
    path = tmp_path / "x"
    filled(path).close()
    connection = raw(lock_path(path))
    connection.execute("DELETE FROM holder")
    connection.execute("BEGIN IMMEDIATE")
    log = open_log(path, holder="tests")
    assert log.read_only_because.startswith("another window is writing to this logbook")
    log.close()
    connection.execute("ROLLBACK")
    connection.execute("BEGIN EXCLUSIVE")
    log = open_log(path, holder="tests")
    assert log.read_only_because.startswith("another window is writing to this logbook")
    log.close()
    connection.close()


def test_a_quick_look_says_what_it_cannot_read(tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(b"not a database at all, and long enough to be looked at" * 40)
    connection = raw(tmp_path / "x")
    assert any("file is not a database" in problem.message for problem in check_quickly(connection))
    connection.close()


def test_a_quick_look_at_a_sound_file_finds_nothing(tmp_path: Path) -> None:
    filled(tmp_path / "x").close()
    connection = raw(tmp_path / "x")
    assert check_quickly(connection) == []
    assert check_quickly(connection, pages=False) == []
    connection.close()


def test_an_empty_logbook_does_not_hold_a_head_that_was_written_down(tmp_path: Path) -> None:
    log = open_log(tmp_path / "x", holder="tests")
    assert log.verify(Head(seq=0, digest="")) == []
    assert [problem.seq for problem in log.verify(Head(seq=4, digest="f" * 64))] == [4]
    log.close()
