"""A disk that is full, failing, read-only or busy: nothing is lost, and the message says what is stored.

Codes: SQLite, "Result and Error Codes". ``max_page_count`` makes SQLITE_FULL, RLIMIT_FSIZE makes SQLITE_IOERR_WRITE.
"""

import os
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from commission.base.errors import CommissionError, Damaged, NotConfirmed, ReadOnly
from commission.storage import connection as connections
from commission.storage import store
from commission.storage.store import SqliteLog
from tests.faults.children import append_many, keep_reading, numbered, open_as_nobody, start, starve, starve_at_birth
from tests.registered import open_log_for_reading
from tests.storage.making import draft, filled, stream

pytestmark = pytest.mark.faults


@pytest.fixture
def log(tmp_path: Path) -> Iterator[SqliteLog]:
    made = filled(tmp_path / "x.logbook")
    yield made
    made.close()


def _may_not_grow(log: SqliteLog) -> None:
    log.connection.set_authorizer(None)
    (pages,) = log.connection.execute("PRAGMA page_count").fetchone()
    log.connection.execute(f"PRAGMA max_page_count = {pages}")


def test_a_full_disk_loses_nothing_and_says_that_nothing_was_stored(log: SqliteLog) -> None:
    _may_not_grow(log)
    stored, said = log.head().seq, ""
    while not said and stored < 1000:
        try:
            stored = log.append(numbered("full", stored)).seq
        except NotConfirmed as error:
            said = str(error)
    assert said == "disk full: nothing was stored; free some space and press Enter again"
    assert log.head().seq == stored
    assert log.verify() == []
    # the file was opened again, without the limit: space was freed
    assert log.append(numbered("full", stored)).seq == stored + 1


def test_a_full_disk_stores_none_of_a_batch_of_samples(log: SqliteLog) -> None:
    before = log.seal("s1")
    _may_not_grow(log)
    with pytest.raises(NotConfirmed, match="disk full: nothing was stored"):
        log.add_samples("s1", stream(5000, first=40))
    _may_not_grow(log)
    with pytest.raises(NotConfirmed, match="disk full: nothing was stored"):
        log.add_samples("new", stream(5000))
    assert log.seal("s1") == before
    assert log.seal("new").count == 0
    assert log.verify() == []
    assert log.add_samples("new", stream(5000)) == 5000


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
def test_a_file_that_may_not_grow_is_reported_and_written_to_again_afterwards(tmp_path: Path) -> None:
    process, pipe = start(starve, tmp_path / "x.logbook", 80_000)
    stored, said, seq, problems = pipe.recv()
    process.join()
    what, _, cure = said.partition("; ")
    assert what == "NotConfirmed: the disk reported an error (ioerr_write): nothing was stored"
    assert cure == "check the disk and press Enter again"
    assert stored > 10
    assert (seq, problems) == (stored + 2, [])
    log = open_log_for_reading(tmp_path / "x.logbook")
    assert log.head().seq == stored + 2
    log.close()


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
def test_a_disk_too_full_for_the_first_entry_leaves_a_new_logbook(tmp_path: Path) -> None:
    process, pipe = start(starve_at_birth, tmp_path / "x.logbook")
    said, empty, seq, problems = pipe.recv()
    process.join()
    assert said.startswith("NotConfirmed: the disk reported an error (ioerr_write): nothing was stored; check the disk")
    assert (empty, seq, problems) == (([], 0), 1, [])


@pytest.mark.skipif(sys.platform == "win32", reason="an open file cannot be moved there")
@pytest.mark.parametrize("replaced", [True, False])
def test_nothing_goes_into_a_file_that_was_taken_away_while_it_was_open(log: SqliteLog, replaced: bool) -> None:
    kept = log.path.with_name("kept")
    log.path.rename(kept)
    if replaced:
        shutil.copy(kept, log.path)
    with pytest.raises(ReadOnly, match=r"the logbook was moved, replaced or deleted while it was open: nothing"):
        log.append(draft())
    reader = open_log_for_reading(kept)
    assert reader.head().seq == 8
    reader.close()


class Failing:
    """A connection that fails at one kind of statement, before it is carried out or after."""

    def __init__(self, real: sqlite3.Connection, word: str, code: str, *, after: bool) -> None:
        self._real = real
        self._word = word
        self._code = code
        self._after = after

    def execute(self, sql: str, *values: Any) -> Any:
        if not sql.lstrip().startswith(self._word):
            return self._real.execute(sql, *values)
        if self._after:
            self._real.execute(sql, *values)
        error = sqlite3.OperationalError("disk I/O error")
        error.sqlite_errorname = self._code
        raise error

    def __getattr__(self, name: str) -> Any:
        return getattr(self._real, name)


def _fail(log: SqliteLog, word: str, code: str, *, after: bool = False) -> None:
    log._connection = Failing(log.connection, word, code, after=after)  # type: ignore[assignment]


IO_ERRORS = ["WRITE", "FSYNC", "DIR_FSYNC", "TRUNCATE", "DELETE", "LOCK", "SHORT_READ"]


@pytest.mark.parametrize("code", IO_ERRORS)
@pytest.mark.parametrize("word", ["BEGIN", "SELECT", "INSERT", "COMMIT"])
def test_a_disk_error_before_the_commit_says_that_nothing_was_stored(log: SqliteLog, word: str, code: str) -> None:
    head = log.head()
    new = draft()
    _fail(log, word, f"SQLITE_IOERR_{code}")
    with pytest.raises(NotConfirmed) as caught:
        log.append(new)
    assert str(caught.value) == (
        f"the disk reported an error (ioerr_{code.lower()}): nothing was stored; check the disk and press Enter again"
    )
    assert log.head() == head
    assert log.append(new).seq == head.seq + 1
    assert log.verify() == []


@pytest.mark.parametrize("code", IO_ERRORS)
def test_a_commit_that_reports_an_error_although_it_stored_the_entry_is_told_truly(log: SqliteLog, code: str) -> None:
    seq = log.head().seq + 1
    new = draft()
    _fail(log, "COMMIT", f"SQLITE_IOERR_{code}", after=True)
    with pytest.raises(NotConfirmed) as caught:
        log.append(new)
    assert str(caught.value) == (
        f"the disk reported an error (ioerr_{code.lower()}), but entry {seq} stands in the logbook: do not type that "
        "again; check the disk, then look whether it is still there"
    )
    assert log.append(new).seq == seq
    assert log.verify() == []


def test_samples_that_were_stored_although_the_commit_reported_an_error_are_counted(log: SqliteLog) -> None:
    _fail(log, "COMMIT", "SQLITE_IOERR_FSYNC", after=True)
    with pytest.raises(NotConfirmed, match=r"but 3 more samples stand in the logbook: do not"):
        log.add_samples("s1", stream(3, first=40))
    _fail(log, "BEGIN", "SQLITE_IOERR_FSYNC")
    with pytest.raises(NotConfirmed, match="nothing was stored"):
        log.add_samples("s1", stream(3, first=43))
    _fail(log, "COMMIT", "SQLITE_IOERR_FSYNC")
    with pytest.raises(NotConfirmed, match="nothing was stored"):
        log.add_samples("s1", stream(3, first=43))
    assert log.seal("s1").count == 43


@pytest.mark.parametrize(
    "error", [sqlite3.OperationalError("unable to open database file"), ReadOnly("no safe commits"), Damaged("torn")]
)
def test_a_file_that_cannot_be_opened_again_leaves_it_open_whether_the_entry_is_there(
    log: SqliteLog, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    new = draft()
    _fail(log, "COMMIT", "SQLITE_IOERR_FSYNC", after=True)

    def gone(_path: Path) -> sqlite3.Connection:
        raise error

    with monkeypatch.context() as patched:
        patched.setattr(store, "connect_for_writing", gone)
        with pytest.raises(
            NotConfirmed, match=r"cannot be read again .* See whether the entry is there before you type it again"
        ):
            log.append(new)
        with pytest.raises(CommissionError, match=str(error)):
            log.head()
    assert log.append(new).seq == 9


def test_a_disk_error_while_reading_is_no_traceback(log: SqliteLog) -> None:
    for code in ("SQLITE_IOERR_READ", "SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_BUSY", "SQLITE_READONLY_ROLLBACK"):
        real = log.connection
        _fail(log, "SELECT", code)
        with pytest.raises(CommissionError, match=r"disk I/O error|another window|not a logbook any more"):
            log.head()
        with pytest.raises(CommissionError, match=r"disk I/O error|another window|not a logbook any more"):
            log.entries()
        log._connection = real


@pytest.mark.parametrize(
    ("code", "message"),
    [
        ("SQLITE_BUSY", "another window is writing: nothing was stored; press Enter again"),
        ("SQLITE_READONLY_CANTINIT", "the logbook cannot be written"),
        ("SQLITE_CORRUPT_VTAB", "the logbook is damaged"),
        ("SQLITE_NOTADB", "not a logbook any more"),
        ("SQLITE_NOMEM", "the logbook cannot be used (SQLITE_NOMEM"),
    ],
)
def test_every_other_error_is_one_line_and_says_that_nothing_was_stored(
    log: SqliteLog, code: str, message: str
) -> None:
    _fail(log, "INSERT", code)
    with pytest.raises(CommissionError) as caught:
        log.append(draft())
    assert message in str(caught.value)
    assert "nothing was stored" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_window_that_writes_for_long_is_waited_for_and_then_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "BUSY_S", 0.2)
    log = filled(tmp_path / "x.logbook")
    other = sqlite3.connect(tmp_path / "x.logbook", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(ReadOnly, match="another window is writing: nothing was stored; press Enter again"):
        log.append(draft())
    other.execute("ROLLBACK")
    assert log.append(draft()).seq == 9
    other.close()
    log.close()


def test_a_program_that_stops_half_way_through_reading_blocks_only_until_it_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "BUSY_S", 0.2)
    log = filled(tmp_path / "x.logbook", notes=20)
    process, pipe = start(keep_reading, tmp_path / "x.logbook")
    assert pipe.recv() == "reading"
    new = draft()
    with pytest.raises(ReadOnly, match="another window is reading: nothing was stored; press Enter again"):
        log.append(new)
    pipe.send("go on")
    assert pipe.recv() == "done"
    assert log.append(new).seq == 24
    assert log.verify() == []
    process.join()
    log.close()


def test_our_own_readers_leave_nothing_half_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "BUSY_S", 0.2)
    log = filled(tmp_path / "x.logbook")
    reader = open_log_for_reading(tmp_path / "x.logbook")
    for read in (
        reader.entries, reader.head, reader.verify, reader.changed, lambda: reader.samples("s1"),
        lambda: reader.last_sample("s1"), lambda: reader.seal("s1"), lambda: reader.entries_of_kind("note added"),
    ):  # fmt: skip
        read()
        log.append(draft())
    reader.close()
    log.close()


def test_two_programs_that_write_at_once_leave_one_chain(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    children = [start(append_many, path, name, 60) for name in ("left", "right")]
    assert [pipe.recv() for _, pipe in children] == ["done", "done"]
    for process, _ in children:
        process.join()
    log = open_log_for_reading(path)
    assert log.verify() == []
    assert log.head().seq == 128
    assert len({entry.uid for entry in log.entries()}) == 128
    log.close()


@pytest.fixture
def public_folder() -> Iterator[Path]:
    """A folder that other users can reach, which pytest's own are not."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        yield folder


needs_root = pytest.mark.skipif(
    sys.platform == "win32" or os.getuid() != 0, reason="only root can hand its rights away"
)


@needs_root
@pytest.mark.parametrize(
    ("folder_mode", "file_mode", "reason"),
    [
        (0o755, 0o644, "the folder of the logbook cannot be written (Permission denied)"),
        (0o777, 0o444, "is write-protected"),
        (0o755, 0o666, "the folder of the logbook cannot be written (Permission denied)"),
    ],
)
def test_without_the_rights_to_write_a_logbook_opens_read_only_and_says_why(
    public_folder: Path, folder_mode: int, file_mode: int, reason: str
) -> None:
    path = public_folder / "x.logbook"
    filled(path).close()
    (public_folder / "x.logbook.lock").unlink()
    path.chmod(file_mode)
    public_folder.chmod(folder_mode)
    before = path.read_bytes()
    process, pipe = start(open_as_nobody, path)
    what, because, count, refusal = pipe.recv()
    process.join()
    assert (what, count) == ("opened", 8)
    assert reason in because
    assert refusal == f"ReadOnly: nothing was stored: {because}"
    assert path.read_bytes() == before


@needs_root
def test_a_lock_file_of_another_user_makes_the_logbook_read_only(public_folder: Path) -> None:
    path = public_folder / "x.logbook"
    filled(path).close()
    path.chmod(0o666)
    public_folder.chmod(0o777)
    process, pipe = start(open_as_nobody, path)
    what, because, count, refusal = pipe.recv()
    process.join()
    assert (what, count) == ("opened", 8)
    assert "lock" in because
    assert refusal.startswith("ReadOnly: nothing was stored")


@needs_root
def test_a_logbook_that_may_not_be_read_or_made_is_a_clear_line(public_folder: Path) -> None:
    path = public_folder / "x.logbook"
    filled(path).close()
    for target, expected in ((path, "LogbookError"), (public_folder / "new.logbook", "ReadOnly")):
        process, pipe = start(open_as_nobody, target)
        what, message, _, _ = pipe.recv()
        process.join()
        assert what == expected
        assert "ermission" in message
