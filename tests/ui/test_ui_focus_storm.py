"""Whatever is clicked, turned or resized between two keys: what is typed stands in the line, and Enter takes it."""

import random
from collections.abc import Callable

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widget import Widget

from commission.record.entries import NoteAdded
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.ui.screens.base import BenchScreen
from commission.ui.widgets.build_list import BuildList
from commission.ui.widgets.keys import Keys
from commission.ui.widgets.stage_ladder import StageLadder
from tests.fakes import HandClock, ListLog, new_book
from tests.stages.fan_headers.screen.headers_bench import PLUGGED, PLUGGING, SWEEPING, powered
from tests.stages.fan_headers.screen.headers_bench import plugged as plugged_headers
from tests.stages.fill.screen.coolant_bench import bleeding, filled, held, poured, pouring
from tests.stages.first_power.screen.power_bench import closed, described, supplied, watched, watching
from tests.ui.bench import AtStage, at_home, led, line_of, new_app, one_build, ready, with_parts
from tests.ui.pictures import text_of

Made = tuple[Logbook, ListLog, HandClock, str]
ACTS = 6
"""Things that are done to the window in the midst of one reading."""


def holding(*lines: str) -> Callable[[], Made]:
    def make() -> Made:
        book, log, clock, build = ready()
        flow = HoldFlow(book, build)
        for line in lines:
            led(flow, [line])
            clock.run(300)
        return book, log, clock, build

    return make


def headers(*lines: str) -> Callable[[], Made]:
    def make() -> Made:
        _, book, clock, build = plugged_headers(*lines)
        log = book.log
        assert isinstance(log, ListLog)
        return book, log, clock, build

    return make


MOMENTS: dict[str, tuple[str, Callable[[], Made], str]] = {
    "parts": ("build_sheet", with_parts, "tube 10 mm x 1,2 m"),
    "instruments": ("instruments", one_build, "gauge"),
    "record": ("record", with_parts, "note one thing"),
    "hold cautions": ("pressure_hold", with_parts, "read"),
    "hold ready": ("pressure_hold", ready, "500 21"),
    "hold running": ("pressure_hold", holding("500 21", "499.9 21"), "499.8 21.3"),
    "fill locked": ("fill", with_parts, "250 mL"),
    "fill open": ("fill", held, "own"),
    "fill pouring": ("fill", pouring, "250 mL"),
    "fill poured": ("fill", poured, "1,1 L"),
    "fill passed": ("fill", filled, "note all dry"),
    "bleed": ("bleed", bleeding, "1 min 4 mL none quiet"),
    "bottles": ("bottles", filled, "water"),
    "cables": ("first_power", described, "0.3 0.3 0.3 0.3"),
    "pump": ("first_power", supplied, "block in, drain"),
    "leak watch": ("first_power", watching, "all dry"),
    "machine": ("first_power", watched, "speed 2 s 4700 rpm"),
    "power ended": ("first_power", closed, "note all dry"),
    "headers": ("fan_headers", powered, PLUGGED[0]),
    "plugged": ("fan_headers", headers(), PLUGGING[0]),
    "sweep": ("fan_headers", headers(*SWEEPING), "100 1500"),
}
"""Each stage's moments: where, how it comes about, and what a person types then."""


def at(pilot: Pilot[None], x: int, y: int) -> Widget:
    return pilot.app.screen.get_widget_at(x, y)[0]


async def click_somewhere(pilot: Pilot[None], chance: random.Random) -> None:
    """Click where a click is not asked to lead elsewhere, or to enter what stands there."""
    width, height = pilot.app.size
    while True:
        x, y = chance.randrange(width), chance.randrange(height)
        under = at(pilot, x, y)
        if not isinstance(under, Keys | StageLadder | BuildList) and not under.has_class("do-now--enter"):
            break
    await pilot.click(offset=(x, y), times=chance.choice((1, 1, 2, 3)))


async def resize(pilot: Pilot[None], chance: random.Random) -> None:
    await pilot.resize_terminal(*chance.choice(((80, 24), (60, 18), (120, 40), (40, 10))))


async def scroll(pilot: Pilot[None], chance: random.Random) -> None:
    x, y = chance.randrange(pilot.app.size.width), chance.randrange(pilot.app.size.height)
    await pilot._post_mouse_events([events.MouseScrollDown], offset=(x, y))


async def help_and_back(pilot: Pilot[None], chance: random.Random) -> None:
    await pilot.press("f1", chance.choice(("escape", "f1", "enter")))


async def look_away(pilot: Pilot[None], chance: random.Random) -> None:
    pilot.app.post_message(events.AppBlur())
    if chance.random() < 0.5:
        pilot.app.post_message(events.AppFocus())
    await pilot.pause()


async def tab(pilot: Pilot[None], chance: random.Random) -> None:
    await pilot.press(chance.choice(("tab", "shift+tab", "f6", "pagedown", "pageup")))


STORM = (click_somewhere, click_somewhere, resize, scroll, help_and_back, look_away, tab)


async def typed_in_a_storm(pilot: Pilot[None], text: str, chance: random.Random) -> None:
    """Type a text while all kinds of things happen to the window between its keys."""
    gusts = sorted(chance.randrange(len(text)) for _ in range(ACTS))
    for number, sign in enumerate(text):
        for _ in range(gusts.count(number)):
            await chance.choice(STORM)(pilot, chance)
            await pilot.press("end")  # a click in the line itself moves its cursor, as it should
        if number % 3 == 1:
            pilot.app.post_message(events.Paste(sign))
            await pilot.pause()
        else:
            await pilot.press("space" if sign == " " else sign)


@pytest.mark.parametrize("moment", MOMENTS)
async def test_a_storm_between_two_keys_takes_none_of_them_away(moment: str) -> None:
    stage, make, text = MOMENTS[moment]
    book, log, _, build = make()
    chance = random.Random(f"{moment} 1")
    app = AtStage(book, stage, build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        stored = len(log.entries())
        await typed_in_a_storm(pilot, text, chance)
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert isinstance(app.screen, BenchScreen)
        assert line_of(pilot).draft == text, text_of(app)
        assert len(log.entries()) == stored
        assert line_of(pilot).input.has_focus
        asked = line_of(pilot).prompt
        await pilot.press("enter")
        await pilot.pause()
        now = line_of(pilot).prompt
        assert asked is not None
        assert now is not None
        went_on = now.key != asked.key  # a form keeps it and asks the next thing
        assert len(log.entries()) > stored or went_on or text in text_of(app), text_of(app)


async def test_at_home_a_click_at_a_build_leaves_what_is_half_typed_in_the_line() -> None:
    book, _, _ = new_book()
    book.name_operator("Ada")
    for name in ("First", "Second"):
        book.open_build(name)
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press(*"North t")
        await pilot.click(BuildList, offset=(3, 2))
        await pilot.press(*"ow")
        await pilot.click(BuildList, offset=(3, 2))
        assert len(app.screen_stack) == 2
        await pilot.press("escape", *"er")
        assert line_of(pilot).draft == "North tower"


def notes(book: Logbook) -> list[str]:
    payloads = [one.payload for one in book.log.entries_of_kind(NoteAdded.KIND)]
    return [one.text for one in payloads if isinstance(one, NoteAdded)]


async def test_what_is_typed_while_the_help_lies_there_closes_it_and_is_taken() -> None:
    book, _, _, build = with_parts()
    app = AtStage(book, "record", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"note ", "f1", *"one thing", "enter")
        assert notes(book) == ["one thing"]


async def test_lines_entered_in_a_window_that_is_too_small_wait_until_they_can_be_read() -> None:
    book, _, _, build = with_parts()
    app = AtStage(book, "record", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"note o")
        await pilot.resize_terminal(40, 10)
        await pilot.press(*"nx", "backspace", *"e", "enter", "enter", *"note two", "enter", *"note thr")
        assert notes(book) == []
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert line_of(pilot).rest == ["note one", "note two", "note thr"]
        await pilot.press("enter", "enter", *"ee", "enter")
        assert notes(book) == ["one", "two", "three"]


async def test_a_refused_line_stays_with_the_cursor_at_its_end_and_the_foot_says_how_to_clear_it() -> None:
    book, _, _, build = with_parts()
    app = AtStage(book, "record", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Ctrl+U" not in text_of(app)
        assert "Esc Back" in text_of(app)
        await pilot.press(*"withdraw 99999", "home", "enter")
        assert line_of(pilot).draft == "withdraw 99999"
        assert line_of(pilot).input.cursor_position == len("withdraw 99999")
        foot = text_of(app).splitlines()[-1]
        assert "Ctrl+U Esc Clear" in foot, "two keys that do the same share its word"
        await pilot.press("ctrl+u")
        assert line_of(pilot).draft == ""
        assert "Ctrl+U" not in text_of(app)


async def test_escape_goes_back_one_step_and_says_what_it_took_out_of_the_line() -> None:
    book, _, _, build = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("build_sheet", build)
        await pilot.pause()
        await pilot.press(*"radiator 240", "enter", *"3 c", "escape")
        assert line_of(pilot).draft == ""
        assert "cleared: 3 c" in text_of(app)
        assert "new part" in text_of(app)
        await pilot.press("escape")
        assert "new part" not in text_of(app)
        assert len(app.screen_stack) == 2
        await pilot.press("escape")
        assert len(app.screen_stack) == 1
