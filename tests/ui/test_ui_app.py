"""The app: first screen, keys, small windows, another window's entries, and how it ends."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from commission.__main__ import job
from commission.base.errors import NotConfirmed
from commission.bench.job import Job
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.ui.screens.base import BenchScreen
from commission.ui.screens.help import HelpScreen
from commission.ui.screens.home import HomeScreen
from commission.ui.screens.not_confirmed import NotConfirmedScreen
from commission.ui.widgets.typed_line import TypedLine
from tests.fakes import ListLog, new_book
from tests.shell.running import environment
from tests.surroundings import PATIENCE_S
from tests.ui.bench import (
    AtStage,
    at_home,
    flow_at,
    led,
    line_of,
    look_round,
    new_app,
    one_build,
    ready,
    typed,
    with_parts,
)
from tests.ui.hostile import HOSTILE, harm_in
from tests.ui.pictures import settled, text_of

NOT_YET = {"numpy", "scipy", "pint", "sqlite_utils", "click"}
"""What the first picture needs none of."""
MOST_OF_OURS = 55
"""Most modules of ours that are loaded for the first picture, which needs 49; our choice: each costs it half a
millisecond, and what comes behind it can be loaded there."""

FIRST_PAINT = """
import gc, json, sys
import commission.shell.start
from commission.__main__ import main
from commission.ui.app import CommissionApp

commission.shell.start.refuse_without_terminal = lambda: None
run, painted, seen = CommissionApp.run, CommissionApp._painted, {}

def seen_at_once(app):
    seen.update(modules=sorted(sys.modules), collects=gc.isenabled())
    painted(app)
    seen["collects_then"] = gc.isenabled()
    app.exit()

CommissionApp.run = lambda app: run(app, headless=True)
CommissionApp._painted = seen_at_once
sys.argv = ["commission", *sys.argv[1:]]
try:
    main()
finally:
    print(json.dumps(seen))
"""


@pytest.mark.parametrize("arguments", [(), ("ui",)])
def test_little_is_loaded_before_the_first_screen_and_no_cycles_are_collected(
    arguments: tuple[str, ...], tmp_path: Path
) -> None:
    from tests.registered import open_logbook

    path = tmp_path / "bench.logbook"
    opened = open_logbook(path)
    opened.book.open_build("North tower")
    opened.book.close()
    ended = subprocess.run(
        [sys.executable, "-c", FIRST_PAINT, *arguments],
        env=environment(path),
        capture_output=True,
        text=True,
        check=True,
        timeout=PATIENCE_S,
    )
    seen = json.loads(ended.stdout)
    loaded = set(seen["modules"])
    assert "textual.app" in loaded
    assert not {name.partition(".")[0] for name in loaded} & NOT_YET
    assert len([name for name in loaded if name.partition(".")[0] == "commission"]) <= MOST_OF_OURS
    assert (seen["collects"], seen["collects_then"]) == (False, True)


async def test_the_first_time_it_asks_who_works_and_then_for_a_build() -> None:
    book, _, _ = new_book()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        assert "Who works at this bench" in text_of(app)
        await typed(pilot, "Ada")
        assert "Name the first build" in text_of(app)
        await typed(pilot, "North tower")
        assert "first part of the loop" in text_of(app)
    assert [row.name for row in book.builds()] == ["North tower"]


async def test_keys_alone_reach_every_screen_and_come_back() -> None:
    book, _, _, _ = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        for key, word in (("f2", "parts list"), ("f4", "log"), ("f5", "meters"), ("f3", "pressure hold")):
            await pilot.press(key)
            await pilot.pause()
            assert word in text_of(app).splitlines()[0]
        for key in ("f4", "f12", "escape"):  # the log and the report lie beside the stage that was left
            await pilot.press(key)
            await pilot.pause()
        assert "pressure hold" in text_of(app).splitlines()[0]
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, HomeScreen)


async def test_a_stage_that_this_version_does_not_have_opens_the_record_and_says_why() -> None:
    book, _, _, _ = with_parts()
    known = tuple(face for face in job().stages() if face.id != "pressure_hold")
    app = new_app(book, job=Job(stages=lambda: known))
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "log" in text_of(app).splitlines()[0]
        assert "pressure hold: this version has no such stage" in text_of(app)
        await pilot.press("f2")
        await pilot.pause()
        assert "parts list" in text_of(app).splitlines()[0]


async def test_help_lies_over_the_screen_and_goes_with_the_same_key() -> None:
    book, _, _, _ = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        assert "What it is for" in text_of(app)
        bar = app.screen.query_one("#modal").vertical_scrollbar.region.x
        assert max(text.content_region.right for text in app.screen.query(".help--text")) < bar, "no gap to the bar"
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(flow_at(app), HoldFlow)


async def test_what_details_does_is_told_until_it_is_done() -> None:
    book, _, _, build = with_parts()
    app = AtStage(book, "pressure_hold", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.screen.query_one(TypedLine).put("details")
        assert "understood: Enter shows all details, or fewer again" in await settled(pilot)
        await pilot.press("enter")
        assert "Enter takes: 422 mL" in await settled(pilot)


async def test_a_small_window_says_so_and_the_hold_goes_on() -> None:
    book, _, clock, _ = ready()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await typed(pilot, "500 21")
        await pilot.resize_terminal(40, 10)
        await pilot.pause()
        assert "too small" in text_of(app)
        clock.run(90)
        await pilot.resize_terminal(80, 24)
        await look_round(pilot)
        assert "too small" not in text_of(app)
        assert "1:30" in text_of(app)


async def test_a_read_only_logbook_says_who_holds_it_on_every_screen() -> None:
    book, log, _, _ = with_parts()
    log.read_only_because = "another window writes (process 12)"
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        assert "another window writes (process 12)" in text_of(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "another window writes (process 12)" in text_of(app)
        await typed(pilot, "read")
        assert "not stored" in text_of(app)


class Waiting(ListLog):
    """A log that another window writes to until it is gone."""

    gone = False

    def take_over(self) -> bool:
        if not self.gone or not self.read_only_because:
            return False
        self.read_only_because = ""
        return True


async def test_a_window_that_was_locked_out_takes_over_and_says_so_on_every_screen() -> None:
    log = Waiting()
    book, _, _ = new_book(log)
    book.name_operator("Ada")
    build = book.open_build("North")
    log.read_only_because = "another window writes (process 12)"
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("record", build)
        await pilot.pause()
        await typed(pilot, "note one")
        await look_round(pilot)
        assert "another window writes (process 12)" in text_of(app)
        assert line_of(pilot).draft == "note one"
        log.gone = True
        await look_round(pilot)
        assert "Read only" not in text_of(app)
        assert "The other window is closed: this one records now." in text_of(app)
        await pilot.press("enter", "escape")
        await pilot.pause()
        assert isinstance(app.screen, HomeScreen)
        assert "Read only" not in text_of(app)
    assert "one" in str(log.stored[-1].payload)


class Elsewhere(ListLog):
    """A log that another window can write to."""

    news = False

    def changed(self) -> bool:
        was, self.news = self.news, False
        return was


async def test_what_another_window_stores_is_shown() -> None:
    log = Elsewhere()
    book, _, clock = new_book(log)
    other, _, _ = new_book(log, clock)
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        other.open_build("From elsewhere")
        log.news = True
        await look_round(pilot)
        assert "From elsewhere" in text_of(app)


class Faulty(ListLog):
    """A log whose disk fails once."""

    fails = False

    def append(self, draft):  # type: ignore[no-untyped-def]
        if self.fails:
            raise NotConfirmed("the disk reported an error: entry 9 may or may not be stored")
        return super().append(draft)


async def test_a_disk_error_says_that_the_value_is_not_confirmed_and_keeps_the_text() -> None:
    log = Faulty()
    book, _, _ = new_book(log)
    book.name_operator("Ada")
    book.open_build("North")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await typed(pilot, "pump")
        log.fails = True
        await typed(pilot, "store")
        assert isinstance(app.screen, NotConfirmedScreen)
        assert "NOT CONFIRMED" in text_of(app)
        await pilot.press(*"0,9 bar")
        assert isinstance(app.screen, NotConfirmedScreen)
        await pilot.press("enter")
        await pilot.pause()
        assert line_of(pilot).draft == "store"
        assert line_of(pilot).rest[1:] == ["0,9 bar"]


async def test_an_error_inside_ends_with_a_status_that_is_not_zero() -> None:
    book, _, _ = new_book()
    app = new_app(book)

    def broken() -> None:
        raise RuntimeError("broken on purpose")

    async def run() -> None:
        async with app.run_test(size=(80, 24)) as pilot:
            await at_home(pilot)
            app.call_later(broken)
            await pilot.pause()

    with pytest.raises(RuntimeError, match="broken on purpose"):
        await run()
    assert app.return_code == 1


async def test_names_that_mean_harm_are_shown_as_text_everywhere() -> None:
    book, _, _ = new_book()
    names = [f"{number} {text}"[:70] for number, text in enumerate(HOSTILE)]
    for name in names:
        book.name_operator(name)
        build = book.open_build(name)
    sheet = SheetFlow(book, build)
    for text, name in zip(HOSTILE, names, strict=True):
        led(sheet, ["pump", f"name {name}", ""])
        book.add_note(build, f"a note {text}"[:300])
    app = new_app(book)
    async with app.run_test(size=(100, 30)) as pilot:
        await at_home(pilot)
        assert harm_in(app) == []
        await pilot.press("enter")
        for key in ("f2", "f4", "f3"):
            await pilot.press(key)
            await pilot.pause()
            assert harm_in(app) == []
            assert isinstance(app.screen, BenchScreen)
    assert app.return_code in (None, 0)


async def test_no_colour_and_ascii_lose_no_word(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    book, _, clock, _ = ready()
    app = new_app(book, ascii_only=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await typed(pilot, "500 21")
        for _ in range(3):
            clock.run(300)
            await typed(pilot, "500 21")
        text = text_of(app)
    assert text.isascii()
    assert " ON COURSE TO PASS " in text
    assert "leak rate" in text


async def test_every_key_is_also_a_command() -> None:
    book, _, _, _ = one_build()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        commands = {command.title for command in app.get_system_commands(app.screen)}
    assert commands == {
        "Help", "Parts list", "Pressure hold", "Fill", "Bleed", "First power-on", "Fan headers", "Thermal soak",
        "Handover", "Log", "Report",
        "Bottles", "Meters", "Theme",
        "Bell", "Back", "Quit",
    }  # fmt: skip


async def test_a_tick_of_the_clock_while_the_screens_are_taken_down_harms_nothing() -> None:
    app = new_app(one_build()[0])
    async with app.run_test() as pilot:
        await at_home(pilot)
    assert app.screen_stack == []
    app._poll()


async def test_any_stage_is_reached_by_its_name_from_any_other() -> None:
    book, _, _, build = with_parts()
    app = AtStage(book, "pressure_hold", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await typed(pilot, "stage fan")
        assert getattr(app.screen, "help_key", "") == "fan_headers"
        await typed(pilot, "stage hold")
        assert getattr(app.screen, "help_key", "") == "pressure_hold"
        await typed(pilot, "stage washing")
        shown = " ".join(text_of(app).replace("┃", "").split())
        assert 'not stored: "washing" is no stage of this build; type one of pressure hold, fill, bleed' in shown
        assert line_of(pilot).draft == "stage washing"
