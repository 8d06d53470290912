"""The plots of fill and bleed: what they say in words, and that no picture breaks them."""

from typing import Any

import pytest
from textual.app import App, ComposeResult

from commission.stages.bleed.model import BleedPicture, BleedRule
from commission.stages.bleed.plot.top_ups import bleed_steps
from commission.stages.fill.model.fill import FillPicture
from commission.stages.fill.plot.amounts import fill_steps
from commission.ui.theme import dress
from commission.ui.widgets.curve_frame import on_round_rows
from commission.ui.widgets.curve_paint import Layer
from commission.ui.widgets.step_plot import StepPlot
from tests.ui.pictures import text_of

ML = 1e-6
RULE = BleedRule(last_cycles=3, span_s=7200, top_up_m3=2 * ML)


def total(*amounts: float, low: float | None = 1100, high: float | None = 1300) -> FillPicture:
    """A fill with these totals in mL."""
    return FillPicture(
        seq=tuple(range(1, len(amounts) + 1)),
        total_m3=tuple(ml * ML for ml in amounts),
        u_total_m3=(5 * ML,) * len(amounts),
        low_m3=None if low is None else low * ML,
        high_m3=None if high is None else high * ML,
    )


def took(*amounts: float, tilted: int = 0) -> BleedPicture:
    """A bleed whose cycles took these amounts in mL."""
    numbers = tuple(range(1, len(amounts) + 1))
    return BleedPicture(
        number=numbers,
        gone_m3=tuple(ml * ML for ml in amounts),
        resolution_m3=(ML,) * len(amounts),
        new_series=tuple(number == tilted for number in numbers),
        tail_number=(1.0, 2.0, 3.0, 4.0),
        tail_m3=(40 * ML, 16 * ML, 6.4 * ML, 2.6 * ML),
    )


class OnePlot(App[None]):
    """A plot that fills the window."""

    def __init__(self, plot: StepPlot, *, ascii_only: bool) -> None:
        super().__init__()
        self.plot = plot
        dress(self, ascii_only=ascii_only)

    def compose(self) -> ComposeResult:
        yield self.plot


async def drawn(plot: StepPlot, size: tuple[int, int], *, ascii_only: bool = False) -> str:
    """The plot as text."""
    app: App[Any] = OnePlot(plot, ascii_only=ascii_only)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        return text_of(app)


def test_the_words_say_where_the_total_stands_to_the_expected_band() -> None:
    assert fill_steps(total(250, 868)).summary == "868 mL in after 2 amounts, below the expected 1100 to 1300 mL"
    assert "inside" in fill_steps(total(1200)).summary
    assert "above" in fill_steps(total(1400)).summary
    assert "expected" not in fill_steps(total(1400, low=None, high=None)).summary


def test_the_words_say_what_the_last_cycle_took_and_where_it_was_tilted() -> None:
    said = bleed_steps(took(40, 16, 9, tilted=3), RULE).summary
    assert said.startswith("cycle 3: 9.0 mL, limit 2 mL")
    assert "tilted before cycle 3" in said


@pytest.mark.parametrize("rows", range(3, 14))
def test_a_cycle_beyond_the_limit_is_never_painted_beneath_it(rows: int) -> None:
    plot = StepPlot("cycle")
    plot.show(bleed_steps(took(40, 16, 2.6), RULE))  # the limit is 2 mL
    painted = plot.canvas(on_round_rows(plot.window(30, rows), ML), plain=False).rows()
    limit = next(y for y, runs in enumerate(painted) if any(run.layer is Layer.LIMIT for run in runs))
    last = max(y for y, runs in enumerate(painted) if any("●" in run.text for run in runs))
    assert last <= limit


@pytest.mark.parametrize("rows", range(3, 14))
@pytest.mark.parametrize("beside", [868.0, 1768.0])
def test_a_total_beside_what_is_expected_is_not_painted_inside_it_where_rows_allow(rows: int, beside: float) -> None:
    plot = StepPlot("amount")
    plot.show(fill_steps(total(600, 700, beside, low=1141, high=1259)))
    painted = plot.canvas(on_round_rows(plot.window(30, rows), ML), plain=False).rows()
    hatched = [any(run.layer is Layer.BAND for run in runs) for runs in painted]
    last = [any(run.banded and "●" in run.text for run in runs) for runs in painted]
    assert sum(hatched) >= 1
    assert not any(last) or sum(hatched) == 1, "there was a row to tell them apart"


async def test_every_layer_has_a_sign_and_a_word_of_its_own() -> None:
    plot = StepPlot("cycle")
    plot.show(bleed_steps(took(40, 16, 9, tilted=3), RULE))
    text = await drawn(plot, (80, 16))
    for sign, word in (("●", "top-up"), ("◆", "first after tilting"), ("──", "fitted tail"), ("━ ━", "limit")):
        assert f"{sign} {word}" in text
    assert text.count("●") == 3, "two cycles and the legend"
    assert text.count("◆") == 2


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("size", [(80, 16), (60, 6), (20, 4), (10, 3), (1, 1)])
@pytest.mark.parametrize(
    "picture",
    [
        None,
        total(0.0),
        total(250),
        total(*range(1, 200)),
        total(-5, 3, low=None, high=None),
        total(1e9, low=1, high=2),
    ],
)
async def test_no_fill_breaks_the_plot(picture: FillPicture | None, size: tuple[int, int], ascii_only: bool) -> None:
    plot = StepPlot("amount")
    plot.show(fill_steps(picture))
    text = await drawn(plot, size, ascii_only=ascii_only)
    assert text.isascii() or not ascii_only
