"""What the record asks of a stage, it does for one that it has never heard of: worth, withdrawal, exchange."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.__main__ import job
from commission.base.errors import FileError, NotAllowed
from commission.base.frozen import replace
from commission.bench.job import Job
from commission.record.admission import Admission
from commission.record.entries import StageOverridden
from commission.record.ladder import StageWord
from commission.record.logbook import Logbook
from commission.stages.build_sheet.work import Sheet
from commission.storage.exchange import export_bundle, import_bundle
from commission.storage.opening import open_log
from commission.storage.store import SqliteLog
from tests.holds import RADIATOR, ready_build
from tests.toy_stage.entries import FilterSeated
from tests.toy_stage.job import toy_job
from tests.toy_stage.model import STAGE
from tests.toy_stage.record_face import RECORD
from tests.toy_stage.stage import FACE
from tests.toy_stage.state import FiltersState
from tests.toy_stage.toy_books import filtered, new_book

REGISTRY = toy_job().registry()


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Logbook]:
    book = new_book(tmp_path / "x.logbook")
    yield book
    book.close()


def lines_of(book: Logbook) -> list[str]:
    """Return the bundle of a logbook."""
    assert isinstance(book.log, SqliteLog)
    return list(export_bundle(book.log))


def test_another_loop_takes_its_worth(book: Logbook) -> None:
    build_id = filtered(book)
    assert book.build(build_id).runs[STAGE][0].stale_by is None
    added = book.work(Sheet).add_part(build_id, RADIATOR)
    assert book.build(build_id).runs[STAGE][0].stale_by == added.seq


def test_what_was_withdrawn_no_longer_counts(book: Logbook) -> None:
    build_id = filtered(book)
    seated = book.entries_of_kind("filter seated")[0]
    withdrawn = book.withdraw(seated.seq, "read at another filter")
    assert list(book.build(build_id).of(FiltersState).gaps_m) == ["top"]
    assert book.build(build_id).runs[STAGE][0].stale_by == withdrawn.seq


def test_its_entries_are_exported_and_imported_unchanged(book: Logbook, tmp_path: Path) -> None:
    build_id = filtered(book)
    assert book.verify() == []
    lines = lines_of(book)
    import_bundle(lines, tmp_path / "y", REGISTRY, admit=Admission(REGISTRY))
    again = open_log(tmp_path / "y", REGISTRY, holder="tests")
    assert list(export_bundle(again)) == lines
    assert [entry.payload for entry in again.entries(build_id)] == [e.payload for e in book.entries(build_id)]
    again.close()


def test_what_its_use_cases_would_not_store_is_not_imported(book: Logbook, tmp_path: Path) -> None:
    book.record(filtered(book), FilterSeated(attempt=2, name="front", gap_m=-0.001))
    with pytest.raises(FileError, match="a gap is 0 or more"):
        import_bundle(lines_of(book), tmp_path / "y", REGISTRY, admit=Admission(REGISTRY))
    assert not (tmp_path / "y").exists()


def test_one_that_says_it_needs_the_machine_is_opened_by_no_reason(tmp_path: Path) -> None:
    powered = replace(FACE, record=lambda: replace(RECORD, needs_machine=True))
    usual, toy = job(), toy_job()
    book = Job(stages=lambda: (*usual.stages(), powered), procedure=toy.procedure).open(tmp_path / "y.logbook").book
    build_id = ready_build(book)
    with pytest.raises(NotAllowed, match="cannot be overridden: it needs the machine"):
        book.override(build_id, STAGE, "in a hurry")
    # a reason that an older program let through opens it no more
    book.record(build_id, StageOverridden(stage=STAGE, reason="in a hurry"))
    rung = next(one for one in book.ladder(book.build(build_id)) if one.stage.id == STAGE)
    assert rung.word is StageWord.LOCKED
    assert "needs the machine" in rung.why
    book.close()
