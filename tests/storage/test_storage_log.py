"""What the log keeps, and how it answers."""

from pathlib import Path

import pytest

from commission.base.errors import Damaged, InputError, ReadOnly
from commission.base.frozen import replace
from commission.record.entries import BuildOpened, NoteAdded
from commission.record.logged import Draft, Head, Seal
from commission.record.ports import EntryLog
from commission.storage.chain import next_digest
from commission.storage.schema import SCHEMA_VERSION
from commission.storage.store import SqliteLog
from tests.registered import open_log, open_log_for_reading
from tests.storage.making import draft, filled, raw, reading, stream


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "shop" / "x.logbook"


def test_the_log_fits_what_the_logbook_asks_for(path: Path) -> None:
    log: EntryLog = open_log(path, holder="tests")
    log.close()


def test_a_new_log_is_empty_and_sound(path: Path) -> None:
    log = open_log(path, holder="tests")
    assert (log.entries(), log.head(), log.verify(), log.changed()) == ([], Head(seq=0, digest=""), [], False)
    assert (log.entry(1), log.entries_of_kind("note added"), log.last_sample("s")) == (None, [], None)
    assert log.seal("s") == Seal(count=0, digest="")
    assert list(log.samples("s").elapsed_s) == []
    log.close()


def test_what_was_appended_is_there_after_the_file_is_opened_again(path: Path) -> None:
    log = open_log(path, holder="tests")
    stored = [log.append(draft(reading(typed="0,5 bar"))), log.append(draft(build="b2")), log.append(draft(build=""))]
    log.close()
    again = open_log_for_reading(path)
    assert again.entries() == stored
    assert [entry.seq for entry in stored] == [1, 2, 3]
    assert again.entries("b1") == stored[:1]
    assert again.entries("") == stored[2:]
    assert again.entries("nobody") == []
    assert again.entry(2) == stored[1]
    assert again.entry(4) is None
    assert again.entries_of_kind(NoteAdded.KIND) == stored[1:]
    assert again.entries_of_kind(BuildOpened.KIND) == []
    again.close()


def test_each_digest_covers_the_text_and_the_digest_before_it(path: Path) -> None:
    log = filled(path)
    log.close()
    connection = raw(path)
    before = ""
    for body, digest in connection.execute("SELECT body, digest FROM entry ORDER BY seq").fetchall():
        assert digest == next_digest(before, body)
        before = digest
    connection.close()


def test_storing_the_same_draft_twice_stores_it_once(path: Path) -> None:
    log = open_log(path, holder="tests")
    mine = draft(reading())
    first = log.append(mine)
    log.append(draft())
    head = log.head()
    assert log.append(mine) == first
    assert log.head() == head
    log.close()


def test_another_content_under_a_known_id_is_refused(path: Path) -> None:
    log = open_log(path, holder="tests")
    mine = draft(NoteAdded(text="a"))
    log.append(mine)
    for other in (
        replace(mine, payload=NoteAdded(text="b")),
        replace(mine, operator="Max"),
        replace(mine, build="b2"),
        replace(mine, observed_ms=5),
    ):
        with pytest.raises(Damaged, match="entry 1 has the id of this one but another content"):
            log.append(other)
    assert log.head().seq == 1
    assert log.append(draft()).seq == 2
    log.close()


@pytest.mark.parametrize(
    "bad",
    [
        draft(NoteAdded(text="\ud800")),
        draft(reading(si=float("nan"))),
        draft(reading(si=float("inf"))),
        replace(draft(), uid=""),
        replace(draft(), build="\udfff"),
        replace(draft(), observed_ms=2**70),
    ],
)
def test_a_draft_that_does_not_fit_changes_nothing(path: Path, bad: Draft) -> None:
    log = open_log(path, holder="tests")
    log.append(draft())
    head = log.head()
    with pytest.raises(InputError, match=r"nothing was stored|type it again"):
        log.append(bad)
    assert (log.head(), log.verify()) == (head, [])
    log.append(draft())
    log.close()


def test_text_is_kept_letter_by_letter(path: Path) -> None:
    log = open_log(path, holder="tests")
    odd = "\x00\x1b[31m[/nope]\u202e µ é e\u0301 \u2028 \U0001f4a7"
    log.append(draft(NoteAdded(text=odd)))
    log.close()
    again = open_log_for_reading(path)
    assert [entry.payload for entry in again.entries()] == [NoteAdded(text=odd)]
    assert again.verify() == []
    again.close()


def test_another_window_sees_that_something_was_written(path: Path) -> None:
    log = open_log(path, holder="tests")
    other = open_log_for_reading(path)
    assert not other.changed()
    assert other.entries() == []
    log.append(draft())
    assert other.changed()
    assert not other.changed()
    assert len(other.entries()) == 1
    log.add_samples("s", stream(1))
    assert other.changed()
    assert not log.changed()
    other.close()
    log.close()


def test_a_closed_log_stores_nothing(path: Path) -> None:
    log = filled(path)
    log.close()
    log.close()
    with pytest.raises(ReadOnly, match=r"nothing was stored: the logbook was closed"):
        log.append(draft())


def test_a_log_opened_for_reading_stores_nothing(path: Path) -> None:
    filled(path).close()
    log = open_log_for_reading(path)
    before = path.read_bytes()
    with pytest.raises(ReadOnly, match="it was opened for reading"):
        log.append(draft())
    with pytest.raises(ReadOnly, match="it was opened for reading"):
        log.add_samples("s", stream(1))
    log.close()
    assert path.read_bytes() == before


def _settings(log: SqliteLog) -> dict[str, object]:
    log.connection.set_authorizer(None)
    names = ("journal_mode", "synchronous", "foreign_keys", "trusted_schema", "cell_size_check", "recursive_triggers")
    found = {name: log.connection.execute(f"PRAGMA {name}").fetchone()[0] for name in names}
    (found["mmap_size"],) = log.connection.execute("PRAGMA mmap_size").fetchone() or (0,)
    (found["busy_timeout"],) = log.connection.execute("PRAGMA busy_timeout").fetchone()
    return found


def test_the_connection_that_writes_has_the_settings_that_survive_a_power_cut(path: Path) -> None:
    log = filled(path)
    assert _settings(log) == {
        "journal_mode": "delete",
        "synchronous": 3,
        "foreign_keys": 1,
        "trusted_schema": 0,
        "cell_size_check": 1,
        "recursive_triggers": 1,
        "mmap_size": 0,
        "busy_timeout": 5000,
    }
    log.close()


def test_a_file_that_another_program_turned_to_a_write_ahead_log_is_turned_back(path: Path) -> None:
    filled(path).close()
    connection = raw(path)
    assert connection.execute("PRAGMA journal_mode = WAL").fetchone() == ("wal",)
    connection.close()
    log = open_log(path, holder="tests")
    assert log.read_only_because == ""
    assert _settings(log)["journal_mode"] == "delete"
    log.close()


def test_the_file_says_whose_it_is(path: Path) -> None:
    filled(path).close()
    connection = raw(path)
    assert connection.execute("PRAGMA application_id").fetchone() == (int.from_bytes(b"CLog", "big"),)
    assert connection.execute("PRAGMA user_version").fetchone() == (SCHEMA_VERSION,)
    strict = connection.execute(
        "SELECT count(*) FROM pragma_table_list WHERE strict AND name IN ('entry','series','sample')"
    ).fetchone()
    assert strict == (3,)
    connection.close()
