"""A bleed is put into words once: its card and ``show`` say the same, in digits that mean something."""

from collections.abc import Iterator

import pytest

from commission.record.logbook import Logbook
from commission.stages.bleed.card.bleed import BleedFlow
from commission.stages.bleed.rows.show import bleed_lines
from tests.registered import sample_logbook
from tests.stages.fill.screen.coolant_bench import CONVERGING, bleeding
from tests.stages.said_once import WHEN, unsaid


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    """The demo's logbook; not to be written to."""
    opened = sample_logbook(tmp_path_factory.mktemp("demo"))
    yield opened.book
    opened.book.close()


@pytest.mark.parametrize("build", ["Window desk", "Corner tower"])
def test_the_card_and_show_say_the_same_figures_of_a_bleed(book: Logbook, build: str) -> None:
    build_id = book.find_build(build)
    figures = BleedFlow(book, build_id).content().figures
    assert {"air out", "air left", "clean cycles", WHEN} <= {figure.label for figure in figures}
    assert list(unsaid(figures, bleed_lines(book, book.build(build_id)), "bleed")) == []


def test_a_running_bleed_is_said_once_too() -> None:
    """40 mL and then 12 mL came out: 52 mL (sum), and two cycles tell nothing of what is left."""
    book, _, _, build = bleeding("30 min 40 mL many gurgling", "30 min 12 mL few gurgling")
    figures = BleedFlow(book, build).content().figures
    assert list(unsaid(figures, bleed_lines(book, book.build(build)), "bleed")) == []
    assert [figure.of("bleed").line() for figure in figures[:2]] == [
        "bleed air out: 52 mL, in 2 cycles",
        "bleed air left: not known, too few cycles",
    ]


def test_a_few_millilitres_are_told_in_tenths_and_nothing_falls_below_zero() -> None:
    """Geometric series, by hand: 40, 16, 6.4, 2.56 mL shrink by 0.4, so 2.56 · 0.4 / 0.6 = 1.7 mL are left."""
    book, _, _, build = bleeding(*CONVERGING)
    (left,) = (one for one in BleedFlow(book, build).content().figures if one.label == "air left")
    number, unit = left.value.split()
    assert (len(number.partition(".")[2]), unit) == (1, "mL")
    assert float(number) == pytest.approx(1.7, abs=0.15)  # 0.1 of the fit, 0.05 of rounding
    low, high = left.bounds.removesuffix(" mL").split(" to ")
    assert 0.0 <= float(low) <= 1.7 <= float(high)
