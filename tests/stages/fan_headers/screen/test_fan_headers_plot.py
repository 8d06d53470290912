"""The plot of speed over duty: both ways told apart by sign, in words, and unbroken by any sweep."""

from typing import Any

import pytest
from textual.app import App, ComposeResult

from commission.stages.fan_headers.model.sweep import Direction, SweepPicture
from commission.stages.fan_headers.plot.sweep_plot import SweepPlot, Ways, painted, shared, ways_of, window_of
from commission.ui.theme import dress
from commission.ui.widgets.curve_paint import Canvas, Layer
from commission.ui.widgets.curve_raster import Window
from tests.ui.pictures import text_of

DUTIES = (100.0, 80.0, 60.0, 50.0, 40.0, 30.0)


def picture(down: tuple[float, ...], up: tuple[float, ...] = ()) -> SweepPicture:
    """A sweep from 100 % down, and from 30 % up again."""
    ways = [Direction.DOWN] * len(down) + [Direction.UP] * len(up)
    duties = [*DUTIES[: len(down)], *list(reversed(DUTIES))[: len(up)]]
    return SweepPicture(duty_pct=tuple(duties), rpm=(*down, *up), direction=tuple(ways))


STALLING = picture((1498, 1258, 985, 842, 695, 548), (0, 0, 835, 978, 1254, 1496))
"""It runs down to 30 % and starts again at 50 % only."""


class OnePlot(App[None]):
    """The plot in a window of its own."""

    def __init__(self, plot: SweepPlot, *, ascii_only: bool) -> None:
        super().__init__()
        self.plot = plot
        dress(self, ascii_only=ascii_only)

    def compose(self) -> ComposeResult:
        yield self.plot


async def drawn(shown: SweepPicture | None, size: tuple[int, int], *, ascii_only: bool = False) -> str:
    """The plot as text."""
    plot = SweepPlot()
    plot.show_picture(shown, 60.0)
    app: App[Any] = OnePlot(plot, ascii_only=ascii_only)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        return text_of(app)


async def test_both_ways_have_signs_and_words_of_their_own() -> None:
    text = await drawn(STALLING, (100, 24))
    for sign, word in (("▼", "way down"), ("▲", "way up"), ("◆", "both")):
        assert f"{sign} {word}" in text
    head, _, body = text.partition("both")
    assert head
    assert body.count("▼") == 2, "at 30 and 40 % it ran on the way down alone"
    assert body.count("▲") == 2, "and stood on the way up"
    assert body.count("◆") == 4, "from 50 % on both ways share their cells"


async def test_the_words_give_the_ends_of_the_curve_and_the_smallest_duty_advised() -> None:
    assert ways_of(STALLING, 60.0).summary == "1498 rpm at 100 %, 0 rpm at 30 %, smallest advised 60 %"
    assert "smallest" not in ways_of(STALLING).summary
    assert ways_of(None).summary == ""
    assert "1498 rpm at 100 %" in await drawn(STALLING, (80, 16))


async def test_duties_stand_below_the_plot_and_speeds_beside_it() -> None:
    text = await drawn(STALLING, (100, 24))
    floor = text.rstrip().splitlines()[-1]
    assert floor.split() == [str(duty) for duty in range(30, 101, 10)]
    for speed in ("0", "500", "1000", "1500"):
        assert any(line.split("┤")[0].strip() == speed for line in text.splitlines() if "┤" in line)


def test_speeds_that_share_a_cell_are_told() -> None:
    ways = ways_of(STALLING)
    window = window_of(ways, 60, 12)
    assert (30.0, 0.0) not in shared(ways, window)
    assert (100.0, 1496.0) in shared(ways, window)


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("size", [(100, 24), (66, 6), (20, 4), (10, 3), (1, 1)])
@pytest.mark.parametrize(
    "shown",
    [
        None,
        picture((1498,)),
        picture((0, 0, 0, 0, 0, 0), (0, 0, 0, 0, 0, 0)),
        picture((60_000, 0, 0.4)),
        STALLING,
        SweepPicture(duty_pct=(0.0, 100.0), rpm=(1.0, 2.0), direction=(Direction.NOT_SAID,) * 2),
    ],
)
async def test_no_sweep_breaks_the_plot(shown: SweepPicture | None, size: tuple[int, int], ascii_only: bool) -> None:
    text = await drawn(shown, size, ascii_only=ascii_only)
    assert text.isascii() or not ascii_only


def test_a_duty_read_twice_on_one_way_shows_once() -> None:
    twice = SweepPicture(duty_pct=(100.0, 100.0), rpm=(1500.0, 1490.0), direction=(Direction.DOWN,) * 2)
    assert len(ways_of(twice).points) == 1


@pytest.mark.parametrize("rows", range(3, 14))
def test_each_mark_stands_in_a_cell_of_its_own_line(rows: int) -> None:
    """Drawn without its marks, the line has a sign in each cell where a mark will stand."""
    ways = ways_of(picture(tuple(1000.0 + 73.0 * n for n in range(6, 0, -1))))
    window = window_of(ways, 60, rows)
    bare, marked = Canvas(window, plain=False), Canvas(window, plain=False)
    for canvas in (bare, marked):
        canvas.line(ways.down, canvas.signs.fit, Layer.FIT, bends=True)
    marked.marks(ways.points, "▼", on_line=True)
    line, drawn = ("\n".join("".join(run.text for run in row) for row in one.rows()) for one in (bare, marked))
    assert drawn.count("▼") == len(ways.points)
    assert all(under in "─_" for under, sign in zip(line, drawn, strict=True) if sign == "▼")
    assert all(
        painted_by(ways, window, row).count("▼") == found.count("▼") for row, found in enumerate(drawn.split("\n"))
    )


def painted_by(ways: Ways, window: Window, row: int) -> str:
    """A row of the plot as it is painted."""
    return "".join(run.text for run in painted(ways, window, plain=False).rows()[row])
