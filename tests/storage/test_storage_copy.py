"""A copy of a logbook: sound, the same record, whole or not there, while another window writes."""

import sqlite3
from pathlib import Path

import pytest

from commission.base.errors import Damaged, FileError
from commission.storage import copy
from commission.storage.copy import copy_log
from tests.registered import open_log_for_reading
from tests.storage.making import draft, filled, stream, without_guards


def test_a_copy_is_the_same_record_and_sound_while_the_logbook_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(copy, "PAGES", 1)  # each page apart, so that there is a time between
    log = filled(tmp_path / "x.logbook", streamed=400)
    reader = open_log_for_reading(tmp_path / "x.logbook")
    head = copy_log(reader, tmp_path / "copy.logbook")
    assert head == log.head()
    copied = open_log_for_reading(tmp_path / "copy.logbook")
    assert copied.verify(head) == []
    assert copied.entries() == log.entries()
    assert copied.seal("s1") == log.seal("s1")
    assert (tmp_path / "copy.logbook").stat().st_mode & 0o077 == 0
    # an open copy blocks nobody
    log.append(draft())
    log.add_samples("s2", stream(3))
    for one in (copied, reader, log):
        one.close()


def test_whoever_writes_all_the_time_does_not_make_a_copy_begin_again_for_ever(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(copy, "PAGES", 1)
    log = filled(tmp_path / "x.logbook", streamed=400)
    reader = open_log_for_reading(tmp_path / "x.logbook")
    target = sqlite3.connect(":memory:")
    steps = []

    class Busy:
        """The reader's connection, with a window beside it that writes between any two steps of the copy."""

        def backup(self, to: object, *, pages: int = -1, progress: object = None, sleep: float = 0.25) -> None:
            def look(status: int, remaining: int, total: int) -> None:
                steps.append(remaining)
                log.append(draft())
                if callable(progress):
                    progress(status, remaining, total)

            assert isinstance(to, sqlite3.Connection)
            reader.connection.backup(target, pages=pages, progress=look if pages > 0 else None, sleep=sleep)
            if pages < 0:
                steps.append(-1)

    copy._copy(Busy(), tmp_path / "y")  # type: ignore[arg-type]
    assert steps[-1] == -1
    assert target.execute("SELECT count(*) FROM entry").fetchone() == (log.head().seq,)
    target.close()
    reader.close()
    log.close()


def test_what_is_there_is_not_written_over_and_what_is_not_sound_is_not_copied(tmp_path: Path) -> None:
    log = filled(tmp_path / "x.logbook")
    (tmp_path / "there").write_text("mine")
    with pytest.raises(FileError, match="is there already; name another file"):
        copy_log(log, tmp_path / "there")
    with pytest.raises(FileError, match="cannot be written"):
        copy_log(log, tmp_path / "no folder" / "y")
    assert (tmp_path / "there").read_text() == "mine"
    log.close()
    changed = without_guards(tmp_path / "x.logbook")
    changed.execute("UPDATE entry SET body = replace(body, 'note', 'Note') WHERE seq = 2")
    changed.close()
    reader = open_log_for_reading(tmp_path / "x.logbook")
    with pytest.raises(Damaged, match=r"not sound .*nothing was copied"):
        copy_log(reader, tmp_path / "y")
    reader.close()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["there", "x.logbook", "x.logbook.lock"]
