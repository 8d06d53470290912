"""The curve of a hold on a screen."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.app import App, ComposeResult

from commission.stages.pressure_hold.model import HoldPicture
from commission.stages.pressure_hold.plot.curve import HoldCurve
from commission.ui.theme import LIGHT, dress
from commission.ui.widgets.curve_paint import ASCII_SIGNS, UNICODE_SIGNS, Layer, painted
from commission.ui.widgets.curve_scene import Scene, view_of
from tests.stages.pressure_hold.screen.pictures_of_holds import AXES, PICTURES, hold, noisy
from tests.ui.pictures import same_as_golden, settled, text_of


class Plot(App[None]):
    """The curve alone."""

    def __init__(self, picture: HoldPicture | None, *, plain: bool = False) -> None:
        super().__init__()
        self.picture = picture
        dress(self, ascii_only=plain)

    def compose(self) -> ComposeResult:
        yield HoldCurve(AXES)

    @property
    def curve(self) -> HoldCurve:
        return self.query_one(HoldCurve)

    def on_mount(self) -> None:
        self.curve.show(self.picture, empty="No reading yet.")


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("kind", PICTURES)
async def test_every_kind_of_hold_fits_every_size(kind: str, plain: bool) -> None:
    app = Plot(PICTURES[kind](), plain=plain)
    async with app.run_test(size=(30, 6)) as pilot:
        for size in ((30, 6), (60, 12), (110, 30)):
            await pilot.resize_terminal(*size)
            shown = await settled(pilot)
            assert shown.isascii() or not plain
            assert len(shown.rstrip("\n").split("\n")) <= size[1]
            assert all(strip.cell_length == size[0] for strip in map(app.curve.render_line, range(size[1])))
            assert "No reading yet." in shown or "read" in shown


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.0, 1e6), st.floats(allow_nan=False, width=32)), max_size=120),
    st.integers(1, 120),
    st.integers(1, 30),
    st.booleans(),
)
def test_any_readings_can_be_painted(readings: list[tuple[float, float]], columns: int, rows: int, plain: bool) -> None:
    readings = sorted(dict(readings).items())
    scene = Scene.of(hold(readings))
    view = view_of(scene, columns, rows, unit_pa=100.0)
    plot = painted(scene, view, plain=plain).rows()
    assert len(plot) == rows
    assert all(sum(len(run.text) for run in runs) == columns for runs in plot)
    assert math.isfinite(view.window.y1 - view.window.y0)
    without_lines = painted(Scene(points=scene.points), view, plain=plain).rows()
    seen = any(run.layer is Layer.READING for runs in without_lines for run in runs)
    assert seen or not any(math.isfinite(pressure) for _, pressure in readings)


def test_no_two_layers_share_a_sign() -> None:
    for signs in (UNICODE_SIGNS, ASCII_SIGNS):
        braille = {chr(code) for code in range(0x2801, 0x2900)} if signs is UNICODE_SIGNS else set(":'.")
        layers = [{signs.reading} | braille, set(signs.fit), set(signs.limit), {signs.band}]
        assert len(set.union(*layers)) == sum(len(layer) for layer in layers)


@pytest.mark.parametrize("plain", [False, True])
async def test_the_legend_names_what_is_drawn_and_nothing_else(plain: bool) -> None:
    app = Plot(hold(noisy(19)), plain=plain)
    async with app.run_test(size=(90, 16)) as pilot:
        await pilot.pause()
        legend = text_of(app).split("\n")[0]
        for word in ("mbar from the start", "readings", "fitted decay", "bounds", "limit"):
            assert word in legend
        app.curve.show(PICTURES["one reading"]())
        await pilot.pause()
        legend = text_of(app).split("\n")[0]
        assert "readings" in legend
        assert "limit" not in legend


async def test_the_summary_says_in_words_what_the_curve_shows() -> None:
    app = Plot(hold(noisy(19)))
    async with app.run_test(size=(130, 16)) as pilot:
        await pilot.pause()
        # The picture was made with falls of 130, 320, 65 and 208 Pa; 1 mbar is 100 Pa.
        assert app.curve.summary == (
            "the fit falls by 1.3 mbar, the limit line by 3.2 mbar, the band from 0.65 mbar to 2.08 mbar, "
            "19 points over 1:00"
        )
        assert app.curve.summary in text_of(app)
        app.curve.show(hold(noisy(19), fall=-90.0))
        assert app.curve.summary.startswith("the fit rises by 0.9 mbar")
        app.curve.show(None, empty="Nothing yet.")
        assert app.curve.summary == "Nothing yet."


def test_a_leak_beyond_the_limit_ends_below_the_limit_line() -> None:
    scene = Scene.of(hold(noisy(19), fall=400.0, limit=100.0))
    plot = painted(scene, view_of(scene, 60, 20, unit_pa=100.0), plain=False).rows()
    lowest = {
        layer: max(y for y, runs in enumerate(plot) if any(run.layer is layer for run in runs))
        for layer in (Layer.FIT, Layer.LIMIT)
    }
    assert lowest[Layer.FIT] > lowest[Layer.LIMIT]


def test_few_readings_have_a_mark_each_over_every_line() -> None:
    readings = noisy(19, noise=0.0)
    scene = Scene.of(hold(readings))
    view = view_of(scene, 60, 20, unit_pa=100.0)
    plot = ["".join(run.text for run in runs) for runs in painted(scene, view, plain=True).rows()]
    for t, y in readings:
        assert plot[view.window.height(y, 1)][view.window.pixel_column(t) // 2] == "o"


def test_a_line_covers_a_cloud_only_where_the_cloud_fills_the_cell() -> None:
    scene = Scene.of(hold(noisy(3000, noise=40.0)))
    view = view_of(scene, 60, 20, unit_pa=100.0)
    bare = Scene(points=scene.points)
    with_lines = painted(scene, view, plain=False).rows()
    without = ["".join(run.text for run in runs) for runs in painted(bare, view, plain=False).rows()]
    for y, runs in enumerate(with_lines):
        row = "".join(run.text for run in runs)
        for x, (with_line, cloud) in enumerate(zip(row, without[y], strict=True)):
            if cloud not in " ⣿":
                assert with_line == cloud, f"the cloud was lost at {x}, {y}"


async def test_another_theme_draws_in_its_own_colours() -> None:
    app = Plot(hold(noisy(19)))
    async with app.run_test(size=(60, 14)) as pilot:
        await pilot.pause()
        dark = {segment.style for y in range(14) for segment in app.curve.render_line(y)}
        dress(app, theme=LIGHT.name)
        await pilot.pause()
        light = {segment.style for y in range(14) for segment in app.curve.render_line(y)}
        assert dark.isdisjoint(light)


@pytest.mark.parametrize(("kind", "plain"), [("few readings", False), ("many readings", False), ("few readings", True)])
async def test_the_curve_looks_as_it_did(kind: str, plain: bool) -> None:
    app = Plot(PICTURES[kind](), plain=plain)
    async with app.run_test(size=(72, 14)) as pilot:
        await settled(pilot)
        same_as_golden(app, f"curve_{kind.replace(' ', '_')}{'_ascii' if plain else ''}")
