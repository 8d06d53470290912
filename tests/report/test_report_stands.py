"""Where a build stands by its report: the demo's finished desk as its last stage passed, and with a defect open."""

from pathlib import Path

import pytest

from commission.__main__ import job
from commission.base.frozen import replace
from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from commission.record.payload import kind_shown
from commission.record.up_to import book_up_to
from commission.report.made import stands_of
from tests.registered import sample_logbook

BUILD = "Loft desk"
"""Its stages all passed when it was handed over; its visits come behind that."""


@pytest.fixture(scope="module")
def earlier(tmp_path_factory: pytest.TempPathFactory) -> tuple[Logbook, BuildState]:
    book = sample_logbook(Path(tmp_path_factory.mktemp("demo"))).book
    build = book.find_build(BUILD)
    handed = next(entry.seq for entry in book.entries(build) if kind_shown(entry.payload) == "handed over")
    past = book_up_to(book, handed)
    return past, past.build(build)


def test_every_stage_passed_and_every_defect_was_repaired(earlier: tuple[Logbook, BuildState]) -> None:
    book, state = earlier
    assert [str(rung.word) for rung in book.ladder(state)] == ["passed"] * 7
    assert stands_of(book, job().stages(), state) == (True, "Every stage passed.")


def test_a_defect_that_is_open_holds_it_up(earlier: tuple[Logbook, BuildState]) -> None:
    book, state = earlier
    repaired = book.build(book.find_build("Window desk")).findings[0]
    open_again = replace(state, findings=(replace(repaired, cure=""),))
    ready, said = stands_of(book, job().stages(), open_again)
    assert not ready
    assert said.startswith("Not ready to hand over. It needs: ")


def test_nothing_that_came_later_is_known(earlier: tuple[Logbook, BuildState]) -> None:
    book, state = earlier
    handed = book.head().seq
    assert kind_shown(book.entries(state.build_id)[-1].payload) == "handed over"
    assert book.log.entry(handed + 1) is None
    assert all(entry.seq <= handed for entry in book.entries(state.build_id))
