"""A fill is put into words once: its card and ``show`` say the same, in digits that mean something."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.bench.card import Figure
from commission.record.logbook import Logbook
from commission.stages.fill.card.bottles import bottles_flow
from commission.stages.fill.card.fill import FillFlow
from commission.stages.fill.entries import FillClosed
from commission.stages.fill.rows.figures import figures_of
from commission.stages.fill.rows.show import fill_lines
from commission.stages.fill.work.fills import Fills
from tests.registered import sample_logbook
from tests.shell.running import SAMPLES, called
from tests.stages.fill.screen.coolant_bench import poured
from tests.stages.said_once import WHEN, lines_of, unsaid
from tests.ui.bench import led


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    """The demo's logbook; not to be written to."""
    opened = sample_logbook(tmp_path_factory.mktemp("demo"))
    yield opened.book
    opened.book.close()


def fill_figures(book: Logbook, build_id: str) -> list[Figure]:
    """What the card says of the fill, without the short rows of bottles that may be poured from."""
    bottles = {f"left in {bottle.name}" for bottle in book.work(Fills).bottles}
    return [figure for figure in FillFlow(book, build_id).content().figures if figure.label not in bottles]


def test_the_card_and_show_say_the_same_figures_of_a_fill() -> None:
    """Premix and water are in; a reservoir of 60 mm has its level at 150 of 200 mm."""
    book, _, _, build = poured()
    led(FillFlow(book, build), ["reservoir 60 mm 200 mm", "level 150 mm 23 degC"])
    figures = fill_figures(book, build)
    assert {"added", "expected", "still to add", "coolant", "freezes below", "hot pressure"} == {
        f.label for f in figures
    }
    facts = list(fill_lines(book, book.build(build)))
    assert list(unsaid(figures, facts, "fill")) == []
    # 1200 mL of parts less π/4 · 6.0² cm² · 5.0 cm = 141.4 mL of air: 1059 mL are expected
    assert any(line.startswith("fill expected: 1059 mL") for line in lines_of(facts))
    assert any(line.startswith("fill air space: 141 mL") for line in lines_of(facts))


@pytest.mark.parametrize("build", ["Window desk", "Corner tower"])
def test_the_card_says_of_an_ended_fill_what_its_verdict_said_then(book: Logbook, build: str) -> None:
    """Top-ups while bleeding go on counting in ``show``; the card after the fill keeps to the day it was judged."""
    build_id = book.find_build(build)
    state = book.build(build_id)
    (closed,) = [e.payload for e in book.entries(build_id) if isinstance(e.payload, FillClosed)]
    then = figures_of(closed.verdict, book.work(Fills).headspace(state), book.work(Fills).stage(state).limit("hot_k"))
    *figures, when = fill_figures(book, build_id)
    assert (tuple(figures), when.label) == (then, WHEN)
    now = [line.partition(":")[0] for line in lines_of(fill_lines(book, state))]
    assert {f"fill {figure.label}" for figure in then} <= set(now)


def test_a_bottle_is_said_the_same_on_its_screen_in_the_list_and_in_show(book: Logbook, tmp_path: Path) -> None:
    """Of 1000 mL of distilled water 110 and 95 mL were poured: 795 mL are left."""
    logbook = tmp_path / "demo.logbook"
    assert called("import", str(SAMPLES / "workshop.jsonl"), logbook=logbook).status == 0
    rows = [figure.of("bottle").line() for figure in bottles_flow(book).content().figures]
    assert rows == called("bottle", "list", logbook=logbook).lines
    (water,) = (row for row in rows if row.startswith("bottle distilled water: "))
    assert water.startswith("bottle distilled water: 795 mL, left of 1000 mL; water")
    assert water in called("show", "Window desk", logbook=logbook).lines
