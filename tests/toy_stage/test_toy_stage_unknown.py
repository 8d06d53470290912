"""A logbook with entries of a stage that this program does not have, as one beside it wrote them."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.__main__ import job
from commission.base.errors import FileError, NotAllowed
from commission.record.admission import Admission
from commission.record.logbook import Logbook
from commission.record.unknown import Unknown
from commission.shell.main import exit_status
from commission.stages.build_sheet.entries import PartAdded
from commission.stages.build_sheet.work import Sheet
from commission.stages.fill.work.fills import Fills
from commission.stages.pressure_hold.work.holds import Holds
from commission.storage.exchange import export_bundle, import_bundle
from commission.storage.opening import open_log
from commission.storage.store import SqliteLog
from tests.holds import RADIATOR, ready_build
from tests.registered import REGISTRY
from tests.storage.making import without_guards
from tests.toy_stage.job import toy_job
from tests.toy_stage.toy_books import filtered, new_book, old_book

NEWER = toy_job().registry()
UNKNOWN = 'holds what this program does not know (entry {seq}, "filter seated"). It takes notes and no work'


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A logbook with two builds, one of them with filters."""
    path = tmp_path / "x.logbook"
    book = new_book(path)
    ready_build(book, "Grey Wren")
    filtered(book)
    book.close()
    return path


@pytest.fixture
def book(path: Path) -> Iterator[Logbook]:
    book = old_book(path)
    yield book
    book.close()


def test_they_are_read_as_unknown_and_keep_their_words(book: Logbook) -> None:
    state = book.build(book.find_build("Blue Heron"))
    assert [entry.payload for entry in state.unknown[:1]] == [
        Unknown(word="filter seated", text='{"attempt":1,"gap_m":0.0008,"name":"front"}')
    ]
    told = [book.entry_text(entry.payload) for entry in state.unknown]
    assert told == ["filter seated", "filter seated", "filters closed"]
    assert state.problems == ()
    assert book.build(book.find_build("Grey Wren")).unknown == ()


def test_the_logbook_is_sound_and_a_change_to_one_of_them_is_found(book: Logbook, path: Path) -> None:
    assert book.verify() == []
    book.close()
    connection = without_guards(path)
    connection.execute("UPDATE entry SET body = replace(body, 'front', 'stern') WHERE kind = 'filter seated'")
    connection.close()
    log = open_log(path, REGISTRY, holder="tests")
    assert [problem.message for problem in log.verify()][-1].startswith("it does not match its digest")
    log.close()


def test_that_build_is_closed_to_work_and_takes_notes(book: Logbook) -> None:
    build_id, before = book.find_build("Blue Heron"), book.head().seq
    seq = book.build(build_id).unknown[0].seq
    part = next(entry for entry in book.entries(build_id) if isinstance(entry.payload, PartAdded))
    told = re.escape(UNKNOWN.format(seq=seq))
    for work in (
        lambda: book.work(Sheet).add_part(build_id, RADIATOR),
        lambda: book.work(Fills).close(build_id),
        lambda: book.withdraw(part.seq, "mistyped"),
        lambda: book.override(build_id, "fill", "in a hurry"),
        lambda: book.work(Holds).acknowledge(build_id, "stored_energy", "Compressed air stores energy."),
    ):
        with pytest.raises(NotAllowed, match=told):
            work()
    with pytest.raises(NotAllowed, match=f'this program does not know what entry {seq}, "filter seated" is'):
        book.withdraw(seq, "mistyped")
    assert book.head().seq == before
    book.add_note(build_id, "goes to the newer program")
    assert book.build(build_id).notes == ("goes to the newer program",)


def test_other_builds_go_on(book: Logbook) -> None:
    build_id = book.find_build("Grey Wren")
    book.work(Sheet).add_part(build_id, RADIATOR)
    assert len(book.build(build_id).parts) == 2


def test_one_that_was_withdrawn_keeps_its_build_closed(path: Path) -> None:
    newer = new_book(path)
    build_id = newer.find_build("Blue Heron")
    seated = newer.entries_of_kind("filter seated")[0]
    newer.withdraw(seated.seq, "it fell off")
    newer.close()
    book = old_book(path)
    assert [entry.seq for entry in book.build(build_id).unknown][:1] == [seated.seq]
    book.close()


def test_it_is_exported_unchanged_and_not_taken_in(book: Logbook, tmp_path: Path) -> None:
    assert isinstance(book.log, SqliteLog)
    lines = list(export_bundle(book.log))
    with pytest.raises(FileError, match='"filter seated" is a kind that this program does not know; import it with'):
        import_bundle(lines, tmp_path / "y", REGISTRY, admit=Admission(REGISTRY))
    assert not (tmp_path / "y").exists()
    import_bundle(lines, tmp_path / "z", NEWER, admit=Admission(NEWER))


@pytest.mark.parametrize("words", [["list"], ["show", "Blue Heron", "--entries"], ["verify"]], ids=lambda them: them[0])
def test_the_command_line_goes_on_and_names_them(
    path: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert exit_status([*words, "--logbook", str(path)], job()) == 0
    printed = capsys.readouterr().out
    if words == ["list"]:
        assert "Grey Wren" in printed
    elif words == ["verify"]:
        assert printed.rstrip().endswith("verdict: sound")
    if words == ["list"]:
        assert re.search(r'build: Blue Heron; .*; unknown: entry \d+, "filter seated"$', printed, re.M)
    elif words[0] == "show":
        assert re.search(r": unknown kind: filter seated$", printed, re.M)
