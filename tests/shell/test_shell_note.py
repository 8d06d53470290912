"""``commission note``: of which stage it is, and the stages by the names that their commands have."""

import contextlib
from pathlib import Path

import pytest

from commission.base.errors import InputError
from commission.bench.needs import stage_called, stage_running
from commission.record.entries import NoteAdded
from tests.fakes import new_book
from tests.registered import open_logbook
from tests.shell.running import called
from tests.wet_builds import bleeding_build, proved_build


def test_a_note_from_the_shell_says_of_which_stage_it_is(tmp_path: Path) -> None:
    path = tmp_path / "bench.logbook"
    called("open", "Desk loop", logbook=path)
    assert called("note", "Desk loop", "of the build", logbook=path).lines[0] == "understood: note: of the build"
    told = called("note", "Desk loop", "blades are dusty", "--stage", "fans", logbook=path)
    assert told.lines[0] == "understood: note in fan headers: blades are dusty"
    with contextlib.closing(open_logbook(path).book) as book:
        notes = [one.payload for one in book.entries(book.find_build("Desk loop"))]
    assert [one.stage for one in notes if isinstance(one, NoteAdded)] == ["", "fan_headers"]


def test_the_stage_that_runs_is_the_one_a_note_is_about() -> None:
    book, _, clock = new_book()
    bleeding, waiting = bleeding_build(book, clock), proved_build(book, clock, "Grey Owl")
    assert (stage_running(book, bleeding), stage_running(book, waiting)) == ("bleed", "")
    assert stage_called(book, waiting, "Fans") == "fan_headers"
    with pytest.raises(InputError, match="no stage of this build"):
        stage_called(book, waiting, "radios")
