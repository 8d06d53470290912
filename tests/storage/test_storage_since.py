"""What was begun and not ended is found by the database as by looking at every entry, and no change can hide it."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.errors import Damaged
from commission.record.entries import NoteAdded
from commission.record.payload import Payload
from commission.stages.pressure_hold.entries import HoldClosed, HoldStarted
from commission.storage.guards import make_guards
from commission.storage.store import SqliteLog
from tests.fakes import ListLog
from tests.registered import open_log
from tests.storage.making import closed, draft, filled, started, without_guards

BEGUN, ENDED = HoldStarted.KIND, (HoldClosed.KIND, "sweep taken")
BUILDS = ("b1", "b2", 'a "third" \\ µ')
MEMORY = Path("/dev/shm")


@settings(max_examples=25)
@given(
    rows=st.lists(st.tuples(st.sampled_from(BUILDS), st.sampled_from(["start", "end", "note"])), max_size=12),
    gone=st.sets(st.integers(1, 12), max_size=4),
)
def test_the_database_finds_what_looking_at_every_entry_finds(rows: list[tuple[str, str]], gone: set[int]) -> None:
    """Except a build whose name JSON writes otherwise: it is named once too often, never once too seldom."""
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as folder:
        log, plain = open_log(Path(folder) / "x", holder="tests"), ListLog()
        payloads: dict[str, Payload] = {
            "start": started(),
            "end": closed(log.seal("none")),
            "note": NoteAdded(text="x"),
        }
        for build, what in rows:
            one = draft(payloads[what], build=build)
            log.append(one), plain.append(one)
        found, looked = log.begun_since(BEGUN, ENDED, gone), plain.begun_since(BEGUN, ENDED, gone)
        log.close()
    assert [build for build in found if build in BUILDS[:2]] == [build for build in looked if build in BUILDS[:2]]
    assert set(looked) <= set(found)


def running(path: Path) -> SqliteLog:
    """Return a log with a hold that runs in one build, and an ended one in another."""
    log = filled(path)
    log.append(draft(started("s2"), build="b2"))
    return log


def test_a_hold_that_runs_is_found_and_an_ended_one_is_not(tmp_path: Path) -> None:
    log = running(tmp_path / "x")
    assert log.begun_since(BEGUN, ENDED, ()) == ["b2"]
    end = log.entries_of_kind(HoldClosed.KIND)[0]
    assert log.begun_since(BEGUN, ENDED, {end.seq}) == ["b1", "b2"]
    log.close()


def test_an_empty_log_has_nothing_that_runs(tmp_path: Path) -> None:
    log = open_log(tmp_path / "x", holder="tests")
    assert (log.begun_since(BEGUN, ENDED, ()), log.count_of_kind(BEGUN), log.last_of_kind(BEGUN, count=3)) == (
        [],
        0,
        [],
    )
    log.close()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE entry SET kind = 'note added' WHERE build = 'b2'",
        "UPDATE entry SET build = 'b9' WHERE build = 'b2'",
        "UPDATE entry SET build = 'b2' WHERE kind = 'hold closed'",
        "UPDATE entry SET build = 'b2', kind = 'hold closed', seq = 99 WHERE seq = 2",
    ],
)
def test_no_changed_column_hides_what_runs(tmp_path: Path, change: str) -> None:
    log = running(tmp_path / "x")
    other = without_guards(tmp_path / "x")
    assert other.execute(change).rowcount == 1
    make_guards(other)
    other.close()
    assert "b2" in log.begun_since(BEGUN, ENDED, ())
    log.close()


def test_an_end_whose_text_was_forged_is_an_error(tmp_path: Path) -> None:
    log = running(tmp_path / "x")
    log.append(draft(NoteAdded(text="x"), build="b2"))
    other = without_guards(tmp_path / "x")
    last = "(SELECT max(seq) FROM entry)"
    forged = f"body = replace(body, 'note added', 'hold closed'), kind = 'hold closed' WHERE seq = {last}"
    assert other.execute(f"UPDATE entry SET {forged}").rowcount == 1
    make_guards(other)
    other.close()
    with pytest.raises(Damaged, match="does not match its digest"):
        log.begun_since(BEGUN, ENDED, ())
    log.close()


def test_the_last_of_a_kind_come_last_first(tmp_path: Path) -> None:
    log = filled(tmp_path / "x")
    notes = log.entries_of_kind("note added")
    assert log.count_of_kind("note added") == len(notes) == 5
    assert log.last_of_kind("note added", count=2, skip=1) == [notes[3], notes[2]]
    assert log.last_of_kind("note added", count=9, skip=4) == [notes[0]]
    log.close()
