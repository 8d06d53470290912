"""The bench card: four bands in the same places."""

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.app import App, ComposeResult

from commission.base.frozen import replace
from commission.bench.card import CardContent, Figure, VerdictLine
from commission.bench.clock_times import ClockTimes
from commission.bench.prompt import Prompt
from commission.stages.pressure_hold.plot.curve import HoldCurve
from commission.ui.keys_in_order import KeysInOrder
from commission.ui.theme import LIGHT, dress
from commission.ui.widgets.bench import Bench
from commission.ui.widgets.bench_card import SMALLEST_PLOT, BenchCard
from commission.ui.widgets.hold_clock import HoldClock
from commission.ui.widgets.stage_ladder import StageLadder
from tests.stages.pressure_hold.screen.pictures_of_holds import AXES, hold, noisy
from tests.ui.cards import CAUTIONS, RUNGS, asking, cautions, failed, running, understand
from tests.ui.pictures import fonts_present, png_of, same_as_golden, settled, text_of


class Shop(KeysInOrder):
    """Ladder and card."""

    def __init__(self, content: CardContent, *, light: bool = False, plain: bool = False) -> None:
        super().__init__()
        self.content = content
        dress(self, theme=LIGHT.name if light else "", ascii_only=plain)

    def compose(self) -> ComposeResult:
        yield Bench(StageLadder(), BenchCard(plot=HoldCurve(AXES), clock=HoldClock()))

    @property
    def card(self) -> BenchCard:
        return self.query_one(BenchCard)

    def on_mount(self) -> None:
        self.query_one(StageLadder).show(RUNGS, "pressure hold")
        self.query_one(HoldCurve).show(hold(noisy(19)))
        clock = self.query_one(HoldClock)
        clock.tick(ClockTimes(elapsed_s=2537, due_in_s=163, ends_in_s=1063))
        clock.read("497.5 mbar")
        self.card.show(self.content)
        self.card.line.focus()


KINDS = {"running": running, "asking": asking, "failed": failed}


SIZES = ((80, 23), (120, 39))


def in_order(shown: str, *, plain: bool) -> None:
    """Ask that the bands stand in their order with their words."""
    order = [
        shown.index(f" {word} {'|' if plain else mark}")
        for word, mark in (("result", "│"), ("safety", "│"), ("do now", "┃"), ("details", "│"))
    ]
    assert order == sorted(order)


@pytest.mark.parametrize("kind", KINDS)
async def test_the_bands_stand_in_their_order_with_their_words_in_plain_ascii(kind: str) -> None:
    app = Shop(KINDS[kind](), plain=True)
    async with app.run_test(size=SIZES[0]) as pilot:
        for size in SIZES:
            await pilot.resize_terminal(*size)
            shown = await settled(pilot)
            in_order(shown, plain=True)
            assert shown.isascii()


@pytest.mark.parametrize("kind", KINDS)
async def test_the_card_looks_as_it_did(kind: str) -> None:
    app = Shop(KINDS[kind]())
    async with app.run_test(size=SIZES[0]) as pilot:
        for size in SIZES:
            await pilot.resize_terminal(*size)
            in_order(await settled(pilot), plain=False)
        for size in SIZES:
            if kind == "running" and size == SIZES[0]:
                await pilot.press(*"497,5 21.3")
            await pilot.resize_terminal(*size)
            same_as_golden(app, f"card_{kind}_{size[0]}", now=await settled(pilot))


async def test_on_eighty_by_twenty_three_everything_is_there_at_once() -> None:
    app = Shop(running())
    async with app.run_test(size=(80, 23)) as pilot:
        await pilot.press(*"497,5 21.3")
        shown = await settled(pilot)
        for part in (
            "pressure hold: RUNNING",
            "8 cautions read",
            "type both in one line",
            "> 497,5 21.3",
            "understood: gauge 497.5 mbar · air 21.3 °C",
            " RUNNING  the upper bound",
            "still missing: about 35 min more",
            "next reading in 2:43",
            "0.0022 to 0.0111",
            "smallest leak found",
            "fitted decay",
            "1:00",
        ):
            assert part in shown, part


HEIGHTS = (3, 4, 6, 9, 14, 19, 30, 49)


@pytest.mark.parametrize("first", [HEIGHTS[0], HEIGHTS[-1]])
@pytest.mark.parametrize("kind", ["running", "asking"])
async def test_the_input_line_and_its_question_are_there_at_any_height(kind: str, first: int) -> None:
    app = Shop(KINDS[kind]())
    question = "Read the gauge and the thermometer" if kind == "running" else "Is the loop empty"
    async with app.run_test(size=(80, first)) as pilot:
        await pilot.press(*"49")
        for height in HEIGHTS if first == HEIGHTS[0] else HEIGHTS[::-1]:
            await pilot.resize_terminal(80, height)
            shown = await settled(pilot)
            assert "> 49" in shown, height
            assert question in shown or height < 4, height


@pytest.mark.parametrize("now", [0, 3, 7])
async def test_the_caution_that_is_asked_is_in_view(now: int) -> None:
    app = Shop(replace(asking(), cautions=cautions(now)))
    async with app.run_test(size=(80, 14)) as pilot:
        await pilot.pause()
        assert f"now       {CAUTIONS[now][:40]}" in text_of(app)


async def test_text_being_typed_stays_while_the_figures_change() -> None:
    app = Shop(running())
    async with app.run_test(size=(80, 23)) as pilot:
        await pilot.press(*"497")
        app.card.show(replace(running(), missing="about 34 min more"))
        await pilot.pause()
        assert app.card.line.draft == "497"
        assert "34 min" in text_of(app)
        app.card.show(replace(running(), prompt=Prompt(key="next", ask="Shut the source off.", proposal="done")))
        await pilot.pause()
        assert app.card.line.draft == "497"


async def test_a_long_error_makes_room_for_itself() -> None:
    app = Shop(running())
    async with app.run_test(size=(80, 23)) as pilot:
        await pilot.press("4", "x", "enter")
        shown = await settled(pilot)
        assert 'not stored: "4x" is not a gauge' in shown
        assert "such as 497,5 21.3" in shown


async def test_a_verdict_begins_with_its_word_and_says_whether_it_is_final() -> None:
    app = Shop(failed())
    async with app.run_test(size=(80, 23)) as pilot:
        await pilot.pause()
        assert " FAIL  the lower bound" in text_of(app)
        assert "What does the gauge show?" in text_of(app)
        app.card.show(running())
        await pilot.pause()
        assert " RUNNING  the upper bound" in text_of(app)
        app.card.show(replace(running(), verdict=VerdictLine(word="pass", text="so far it is within the limit.")))
        await pilot.pause()
        assert " ON COURSE TO PASS  so far it" in text_of(app)


async def test_a_card_shown_before_there_is_a_screen_is_drawn_when_there_is_one() -> None:
    class Early(App[None]):
        def compose(self) -> ComposeResult:
            card = BenchCard()
            card.show(CardContent(proves="it is early", prompt=Prompt(key="a", ask="Say yes.", understand=understand)))
            yield card

    app = Early()
    async with app.run_test(size=(80, 23)) as pilot:
        await pilot.pause()
        assert "it is early" in text_of(app)
        assert "Say yes." in text_of(app)


@pytest.mark.skipif(not fonts_present(), reason="the fonts of the pictures are missing")
@pytest.mark.parametrize("make", KINDS.values(), ids=KINDS)
async def test_the_card_can_be_made_a_picture(make: Callable[[], CardContent], tmp_path: Path) -> None:
    app = Shop(make(), light=True)
    async with app.run_test(size=(80, 23)) as pilot:
        await pilot.pause()
        path = png_of(app, tmp_path / "card.png")
        assert path is not None
        assert path.read_bytes().startswith(b"\x89PNG")


async def test_a_plot_is_never_cut_figures_and_remarks_give_way_to_it_or_it_to_them() -> None:
    many = tuple(Figure(label=f"figure {n}", value=f"{n} mbar") for n in range(14))
    app = Shop(replace(failed(), figures=many, reasons=("Because of this.",) * 3))
    async with app.run_test(size=(80, 12)) as pilot:
        shown = set()
        for height in (12, 16, 19, 21, 23, 30, 39):
            await pilot.resize_terminal(80, height)
            text = await settled(pilot)
            plot = app.card.plot
            assert plot is not None
            shown.add(plot.display)
            if plot.display:
                assert "more: press Tab or type details" in text
                assert plot.size.height >= SMALLEST_PLOT
                assert plot.region.bottom <= app.card.region.bottom
        assert shown == {True, False}
