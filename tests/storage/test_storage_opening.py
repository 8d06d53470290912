"""What is opened, what is made, what is left alone."""

import os
import shutil
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from commission.base.errors import FileError, NotALogbook, ReadOnly
from commission.record.entries import NoteAdded
from commission.record.logged import Head, Problem
from commission.record.unknown import Unknown
from commission.storage.chain import next_digest
from commission.storage.lock import lock_path
from commission.storage.schema import SCHEMA_VERSION
from tests.registered import open_log, open_log_for_reading
from tests.storage.making import draft, filled, raw, stream, without_guards

ROOT = Path(__file__).parents[2]


def _database(path: Path, application_id: int) -> None:
    connection = raw(path)
    connection.execute(f"PRAGMA application_id = {application_id}")
    connection.execute("CREATE TABLE entry (seq INTEGER PRIMARY KEY, body TEXT)")
    connection.execute("INSERT INTO entry VALUES (1, 'x')")
    connection.close()


STRANGERS: dict[str, Callable[[Path], object]] = {
    "a word": lambda path: path.write_text("hello"),
    "a long text": lambda path: path.write_text("pressure,air\n" * 5000),
    "random bytes": lambda path: path.write_bytes(bytes((n * 167 + 13) % 256 for n in range(20_000))),
    "zeros": lambda path: path.write_bytes(bytes(8192)),
    "one byte": lambda path: path.write_bytes(b"S"),
    "only the first words of a database": lambda path: path.write_bytes(b"SQLite format 3\x00"),
    "a database of nobody": lambda path: _database(path, 0),
    "a database of another program": lambda path: _database(path, 0x12345678),
    "a lock file": lambda path: _database(path, 0x434C6F6B),
}


@pytest.mark.parametrize("what", STRANGERS)
def test_a_file_that_is_no_logbook_is_refused_and_not_touched(tmp_path: Path, what: str) -> None:
    path = tmp_path / "x.logbook"
    STRANGERS[what](path)
    os.utime(path, ns=(1_000_000_000, 1_000_000_000))
    before = path.read_bytes()
    with pytest.raises(NotALogbook, match="not touched"):
        open_log(path, holder="tests")
    with pytest.raises(NotALogbook, match="not touched"):
        open_log_for_reading(path)
    assert path.read_bytes() == before
    assert path.stat().st_mtime_ns == 1_000_000_000
    assert [each.name for each in tmp_path.iterdir()] == ["x.logbook"]


def test_a_folder_is_no_logbook(tmp_path: Path) -> None:
    with pytest.raises(NotALogbook, match="is not a file"):
        open_log(tmp_path, holder="tests")
    with pytest.raises(NotALogbook, match="is not a file"):
        open_log_for_reading(tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_no_logbook_and_nobody_waits_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "x")
    with pytest.raises(NotALogbook, match="is not a file"):
        open_log(tmp_path / "x", holder="tests")


def test_reading_a_logbook_that_is_not_there_makes_none(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="there is no logbook at"):
        open_log_for_reading(tmp_path / "shop" / "x.logbook")
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def open_umask() -> Iterator[None]:
    before = os.umask(0)
    yield
    os.umask(before)


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such modes")
@pytest.mark.usefixtures("open_umask")
def test_only_its_owner_can_read_a_logbook_whatever_the_umask(tmp_path: Path) -> None:
    path = tmp_path / "data" / "shop" / "x.logbook"
    log = open_log(path, holder="tests")
    log.append(draft())
    log.connection.execute("BEGIN IMMEDIATE")
    log.connection.execute("INSERT INTO series VALUES (1, 's')")
    journal = path.with_name("x.logbook-journal")
    modes = {each.name: stat.S_IMODE(each.stat().st_mode) for each in (path, journal, lock_path(path), path.parent)}
    log.connection.execute("ROLLBACK")
    log.close()
    assert modes == {"x.logbook": 0o600, "x.logbook-journal": 0o600, "x.logbook.lock": 0o600, "shop": 0o700}


def test_a_folder_that_is_there_keeps_its_mode(tmp_path: Path) -> None:
    before = tmp_path.stat().st_mode
    open_log(tmp_path / "x", holder="tests").close()
    assert tmp_path.stat().st_mode == before


def test_an_empty_file_is_a_new_logbook(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    path.touch()
    reader = open_log_for_reading(path)
    assert (reader.entries(), reader.verify()) == ([], [])
    assert reader.verify(Head(seq=3, digest="f" * 64)) != []
    log = open_log(path, holder="tests")
    assert log.append(draft()).seq == 1
    assert len(reader.entries()) == 1
    reader.close()
    log.close()


@pytest.mark.parametrize("name", ["a b?#%20.logbook", "ü'\"&=;.logbook", "x", ".hidden", "[nope].logbook", "-x"])
def test_a_logbook_may_have_any_name(tmp_path: Path, name: str) -> None:
    log = open_log(tmp_path / name, holder="tests")
    log.append(draft())
    log.close()
    assert sorted(each.name for each in tmp_path.iterdir()) == sorted([name, f"{name}.lock"])
    again = open_log_for_reading(tmp_path / name)
    assert len(again.entries()) == 1
    again.close()


def _frozen_in_a_transaction(path: Path, target: Path, statements: list[str]) -> None:
    """Copy a database as a power cut in the middle of a large transaction would leave it, with its hot journal."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA cache_size = 1")
    connection.execute("BEGIN IMMEDIATE")
    for statement in statements:
        connection.execute(statement)
    connection.execute("CREATE TABLE large (a)")
    connection.executemany("INSERT INTO large VALUES (?)", [("x" * 3000,)] * 50)
    shutil.copy(path, target)
    shutil.copy(path.with_name(path.name + "-journal"), target.with_name(target.name + "-journal"))
    connection.execute("ROLLBACK")
    connection.close()


def test_a_creation_that_was_cut_off_leaves_a_new_logbook(tmp_path: Path) -> None:
    source, path = tmp_path / "source", tmp_path / "x.logbook"
    source.touch()
    _frozen_in_a_transaction(source, path, ["PRAGMA application_id = 5", "CREATE TABLE entry (a)"])
    assert path.stat().st_size > 0
    reader = open_log_for_reading(path)
    assert reader.entries() == []
    reader.close()
    log = open_log(path, holder="tests")
    assert log.read_only_because == ""
    assert log.append(draft()).seq == 1
    assert log.verify() == []
    log.close()


@pytest.mark.parametrize("writing", [True, False])
def test_what_a_crash_left_half_done_is_rolled_back_when_the_file_is_opened(tmp_path: Path, writing: bool) -> None:
    source, path = tmp_path / "source", tmp_path / "x.logbook"
    log = filled(source)
    stored, head = log.entries(), log.head()
    log.close()
    connection = without_guards(source)
    connection.close()
    _frozen_in_a_transaction(source, path, ["UPDATE entry SET operator = 'half done'", "DELETE FROM sample"])
    journal = path.with_name(path.name + "-journal")
    assert journal.exists()
    again = open_log(path, holder="tests") if writing else open_log_for_reading(path)
    assert again.entries() == stored
    assert again.head() == head
    assert not journal.exists()
    assert all("guard" in problem.message for problem in again.verify())
    again.close()


def test_a_file_that_a_power_cut_left_shorter_than_its_header_says_is_still_ours(tmp_path: Path) -> None:
    """Its header was written, the pages it speaks of were not; the journal puts it right (simulated power cut)."""
    source, path = tmp_path / "source", tmp_path / "x.logbook"
    log = filled(source)
    stored = log.entries()
    log.close()
    _frozen_in_a_transaction(source, path, [])
    data = bytearray(path.read_bytes())
    # bytes 28 to 31 hold the size in pages (SQLite, Database File Format, 1.3)
    data[28:32] = (len(data) // 4096 + 5).to_bytes(4, "big")
    path.write_bytes(data)
    again = open_log(path, holder="tests")
    assert again.entries() == stored
    assert again.verify() == []
    again.close()


def _newer(path: Path) -> None:
    log = filled(path)
    log.close()
    connection = without_guards(path)
    connection.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    connection.execute(
        "UPDATE entry SET kind = 'coffee drunk', body = replace(body, 'note added', 'coffee drunk') WHERE seq = 2"
    )
    _chain_again(connection)
    connection.close()


def _chain_again(connection: sqlite3.Connection) -> None:
    digest = ""
    for seq, body in connection.execute("SELECT seq, body FROM entry ORDER BY seq").fetchall():
        digest = next_digest(digest, body)
        connection.execute("UPDATE entry SET digest = ? WHERE seq = ?", (digest, seq))


def test_a_file_of_a_newer_program_is_shown_but_not_written_to(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    _newer(path)
    before = path.read_bytes()
    for log in (open_log(path, holder="tests"), open_log_for_reading(path)):
        newer = f"(format {SCHEMA_VERSION + 1}, this one knows {SCHEMA_VERSION})"
        assert f"a newer version of this program wrote the logbook {newer}" in log.read_only_because
        assert [entry.seq for entry in log.entries()] == list(range(1, 9))
        unknown = log.entries()[1].payload
        assert isinstance(unknown, Unknown)
        assert unknown.word == "coffee drunk"
        assert '"text":"note ' in unknown.text
        assert len(log.samples("s1").elapsed_s) == 40
        with pytest.raises(ReadOnly, match="a newer version"):
            log.append(draft())
        with pytest.raises(ReadOnly, match="a newer version"):
            log.add_samples("s1", stream(1))
        # the guards were dropped for this test; all else is sound
        assert [each.message for each in log.verify() if "guard" not in each.message] == []
        log.close()
    assert path.read_bytes() == before
    assert not lock_path(path).with_name("x.logbook-journal").exists()


def test_a_second_window_writes_once_the_first_is_gone(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    first = open_log(path, holder="one")
    first.append(draft(NoteAdded(text="mine")))
    second = open_log(path, holder="two")
    mark = second.outside_mark()
    assert not second.take_over()
    assert second.read_only_because.startswith("one (process ")
    first.close()
    third = open_log(path, holder="three")
    assert not second.take_over()
    assert second.read_only_because.startswith("three (process ")
    third.append(draft(NoteAdded(text="yours")))
    third.close()
    assert second.take_over()
    assert second.read_only_because == ""
    assert second.outside_mark() != mark
    assert not second.take_over()
    second.append(draft(NoteAdded(text="and mine")))
    notes = [entry.payload for entry in second.entries()]
    assert notes == [NoteAdded(text="mine"), NoteAdded(text="yours"), NoteAdded(text="and mine")]
    assert second.verify() == []
    fourth = open_log(path, holder="four")
    assert fourth.read_only_because.startswith("two (process ")
    for log in (second, fourth):
        log.close()
        assert not log.take_over()


def test_what_was_opened_to_be_read_is_never_written(tmp_path: Path) -> None:
    open_log(tmp_path / "x.logbook", holder="one").close()
    log = open_log_for_reading(tmp_path / "x.logbook")
    assert not log.take_over()
    assert log.read_only_because == "it was opened for reading"
    log.close()


def test_a_second_window_reads_and_says_who_writes(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    first = open_log(path, holder="commission 1.2.3")
    first.append(draft(NoteAdded(text="mine")))
    second = open_log(path, holder="commission 1.2.3")
    assert f"commission 1.2.3 (process {os.getpid()} on " in second.read_only_because
    assert second.read_only_because.endswith("is writing to this logbook; close that window to write here")
    assert len(second.entries()) == 1
    with pytest.raises(ReadOnly, match="close that window"):
        second.append(draft())
    first.append(draft())
    assert second.changed()
    assert len(second.entries()) == 2
    first.close()
    second.close()
    third = open_log(path, holder="tests")
    assert third.read_only_because == ""
    third.close()


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_and_its_target_meet_at_the_same_lock(tmp_path: Path) -> None:
    first = open_log(tmp_path / "x.logbook", holder="first")
    (tmp_path / "link").symlink_to(tmp_path / "x.logbook")
    second = open_log(tmp_path / "link", holder="second")
    assert second.read_only_because.startswith("first ")
    second.close()
    first.close()


def test_a_strange_file_in_the_place_of_the_lock_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    lock_path(path).write_text("mine")
    log = open_log(path, holder="tests")
    assert "another file stands where the lock of this logbook goes" in log.read_only_because
    assert len(log.entries()) == 8
    log.close()
    assert lock_path(path).read_text() == "mine"


def test_a_look_at_a_file_does_not_drop_the_locks_that_this_process_holds_on_it(tmp_path: Path) -> None:
    """Closing a plain handle on a database drops the process's locks (SQLite, How To Corrupt, 2.2)."""
    path = tmp_path / "x.logbook"
    log = filled(path)
    log.connection.execute("BEGIN IMMEDIATE")
    with pytest.raises(sqlite3.OperationalError):
        _begin_elsewhere(path)
    open_log_for_reading(path).close()
    open_log(path, holder="other").close()
    with pytest.raises(sqlite3.OperationalError):
        _begin_elsewhere(path)
    log.connection.execute("ROLLBACK")
    _begin_elsewhere(path)
    log.close()


def _begin_elsewhere(path: Path) -> None:
    """Try a write lock from another process; raise what it raised."""
    code = (
        "import sqlite3, sys\n"
        "try: sqlite3.connect(sys.argv[1], timeout=0, isolation_level=None).execute('BEGIN IMMEDIATE')\n"
        "except sqlite3.OperationalError: sys.exit(7)\n"
    )
    status = subprocess.run([sys.executable, "-I", "-c", code, str(path)], check=False).returncode
    if status == 7:
        raise sqlite3.OperationalError("locked")
    assert status == 0


HEAVY = ["sqlite_utils", "numpy", "pandas", "pint", "scipy", "textual", "click"]


def test_opening_reading_and_adding_to_a_current_file_import_nothing_heavy(tmp_path: Path) -> None:
    filled(tmp_path / "x.logbook").close()
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from tests.storage.making import draft, open_log, stream\n"
        "before = set(sys.modules)\n"
        "log = open_log(Path(sys.argv[1]), holder='tests')\n"
        "log.entries(); log.append(draft()); log.add_samples('s9', stream(2)); log.close()\n"
        "new = open_log(Path(sys.argv[1] + '2'), holder='tests')\n"
        "assert new.entries() == []\n"
        f"print([name for name in {HEAVY} if name in sys.modules and (name == 'sqlite_utils' or name not in before)])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "x.logbook")],
        check=True, capture_output=True, text=True, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.stdout == "[]\n"


def problems_of(path: Path) -> list[Problem]:
    """Return what ``verify`` finds."""
    log = open_log_for_reading(path)
    try:
        return log.verify()
    finally:
        log.close()


def test_damaged_pages_of_a_large_file_are_found_by_verify(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    log = filled(path, notes=1, streamed=40_000)
    log.close()
    assert path.stat().st_size > 1024 * 1024
    assert problems_of(path) == []
    data = bytearray(path.read_bytes())
    data[len(data) // 2 : len(data) // 2 + 4096] = bytes(4096)
    path.write_bytes(data)
    assert problems_of(path) != []
