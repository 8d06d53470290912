"""Where a build stands by its report: the demo's finished desk as its last stage passed, and with a defect open."""

from pathlib import Path

import pytest

from commission.__main__ import job
from commission.base.frozen import replace
from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from commission.record.up_to import book_up_to
from commission.report.made import stands_of
from tests.registered import sample_logbook

PASSED = 481
"""The handover of "Loft desk", the last of its stages; its visits come behind it."""


@pytest.fixture(scope="module")
def earlier(tmp_path_factory: pytest.TempPathFactory) -> tuple[Logbook, BuildState]:
    book = sample_logbook(Path(tmp_path_factory.mktemp("demo"))).book
    past = book_up_to(book, PASSED)
    return past, past.build(book.find_build("Loft desk"))


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
    assert book.head().seq == PASSED
    assert book.log.entry(PASSED + 1) is None
    assert all(entry.seq <= PASSED for entry in book.entries(state.build_id))
