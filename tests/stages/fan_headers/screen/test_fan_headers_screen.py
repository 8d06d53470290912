"""The fan headers on the screen: keys in, rows and text out, a board of real files that changes while it runs."""

import threading
from pathlib import Path

import pytest
from textual.app import App
from textual.pilot import Pilot

from commission import bootstrap
from commission.instruments.hwmon import HwmonBoard
from commission.record.logbook import Logbook
from commission.record.machine.board_sensors import BoardReading
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.entries import SweepSource
from commission.stages.fan_headers.model.sweep import SweepWord
from commission.stages.fan_headers.plot import screen as fan_headers
from commission.stages.fan_headers.state import FanHeadersState
from commission.ui.screens.base import BenchScreen
from tests.fakes import HandClock
from tests.instruments.hwmon_tree import FakeBoard
from tests.power_builds import powered_build
from tests.registered import open_logbook
from tests.stages.fan_headers.screen.headers_bench import (
    CHAINS,
    DOWN_AND_UP,
    HEADERS,
    PLUGGED,
    PLUGGING,
    SWEEPING,
    MovingBoard,
    plugged,
    powered,
)
from tests.surroundings import PATIENCE_S
from tests.ui.bench import AtStage, at_home, flow_at, led, line_of, new_app, typed, until
from tests.ui.hostile import HOSTILE, harm_in
from tests.ui.pictures import SIZES, same_at_each_size, settled, text_of


async def at_headers(pilot: Pilot[None]) -> HeadersFlow:
    """Wait until the fan headers stand there, which the app begins with."""
    await pilot.pause()
    flow = flow_at(pilot.app)
    assert isinstance(flow, HeadersFlow)
    return flow


def begun(*lines: str) -> tuple[Logbook, HeadersFlow, str]:
    """A powered build with one chain plugged in, led on by some lines; what the screen shows first is the record."""
    flow, book, _, build = plugged(*lines)
    return book, flow, build


async def comes(pilot: Pilot[None], text: str) -> str:
    """Wait until a text stands on the screen."""

    def shown() -> str:
        return " ".join(text_of(pilot.app).replace("┃", " ").replace("│", " ").split())

    await until(pilot, lambda: " ".join(text.split()) in shown(), f"{text!r} did not come up")
    return shown()


async def test_a_sweep_survives_the_window_being_closed_in_the_middle(tmp_path: Path) -> None:
    clock, path = HandClock(), tmp_path / "bench.logbook"
    book = open_logbook(path, clock=clock).book
    build = powered_build(book, clock)
    led(HeadersFlow(book, build), (*PLUGGED, *PLUGGING, *SWEEPING, *DOWN_AND_UP[:3]))
    app: App[None] = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_headers(pilot)
        await typed(pilot, DOWN_AND_UP[3])
        await settled(pilot)
        assert "stored: entry" in text_of(app)
        await pilot.press(*"69")
        assert line_of(pilot).draft == "69"
    book.close()

    book = open_logbook(path, clock=clock).book
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await comes(pilot, "Set 40 %")
        assert isinstance(flow_at(app), HeadersFlow), "what is under way comes before a bleed that is still open"
        for line in (*DOWN_AND_UP[4:], "", "leave front 45 640", "end"):
            await typed(pilot, line)
        await comes(pilot, "Ended: PASS")
    assert book.build(build).of(FanHeadersState).sweeps[-1].taken.verdict.word is SweepWord.CONTROLLED
    assert book.verify() == []
    book.close()


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FakeBoard:
    """A board of real files that the screen reads ten times a second, each time many seconds later by its clock."""
    tree = FakeBoard(tmp_path, lambda duty: 15.0 * duty, settle=0.99)
    reader = MovingBoard(tree, tmp_path, step_s=31.0)
    monkeypatch.setattr(bootstrap, "hwmon_board", lambda: reader)
    monkeypatch.setattr(fan_headers, "LOOK_S", 0.1)
    return tree


async def swept_live(pilot: Pilot[None], board: FakeBoard, book: Logbook, build: str, duties: tuple[int, ...]) -> None:
    """Drive some levels of a live sweep."""
    for duty in duties:
        await comes(pilot, f"Set {duty} %, in the firmware")
        board.set(duty)
        before = len(book.build(build).of(FanHeadersState).sweeping.readings)  # type: ignore[union-attr]  # a sweep goes on
        await typed(pilot, "")

        def stored(before: int = before) -> bool:
            at_hand = book.build(build).of(FanHeadersState).sweeping
            return at_hand is not None and len(at_hand.readings) > before

        await until(pilot, stored, f"{duty} % was never stored")


async def test_a_live_sweep_goes_on_by_itself_while_the_files_change(board: FakeBoard) -> None:
    book, _, build = begun(*SWEEPING)
    app = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_headers(pilot)
        await typed(pilot, "live")
        shown = await comes(pilot, "1 fakechip fan1 1500 rpm")
        assert "Which sensor is that of front?" in shown
        assert "Change the duty and see which speed follows" in shown
        await typed(pilot, "1")
        await swept_live(pilot, board, book, build, (100, 80, 60))
        await comes(pilot, "Set 50 %")
        await typed(pilot, "end")
        await typed(pilot, "")
        await comes(pilot, " INCONCLUSIVE  front on SYS1: insufficient")
    taken = book.build(build).of(FanHeadersState).sweeps[-1].taken
    assert [one.duty_pct for one in taken.sweep.readings] == [100.0] * 5 + [80.0] * 5 + [60.0] * 5
    # the board comes near a new speed by halves, and the first reading is taken once the last ones differ by little
    assert [one.rpm for one in taken.sweep.readings[::5]] == pytest.approx([1500, 1200, 900], abs=10)
    assert taken.source is SweepSource.LIVE


async def test_a_sensor_that_vanishes_in_the_middle_ends_in_sensor_lost(board: FakeBoard) -> None:
    book, _, build = begun(*SWEEPING)
    app = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_headers(pilot)
        await typed(pilot, "live")
        await comes(pilot, "Which sensor")
        await typed(pilot, "1")
        await swept_live(pilot, board, book, build, (100,))
        board.vanish()
        await comes(pilot, "SENSOR LOST: fakechip fan1 gave readings and is gone")
        await typed(pilot, "")
        await comes(pilot, "Sensor lost: after 100 % nothing more was read")
        assert app.is_running
    assert len([one for one in book.build(build).of(FanHeadersState).sweeps[-1].taken.sweep.readings if one.rpm]) == 5


async def test_a_live_sweep_that_was_left_goes_on_with_the_next_level(board: FakeBoard) -> None:
    book, _, build = begun(*SWEEPING)
    for duty in (100, 80):
        app = AtStage(book, "fan_headers", build)
        async with app.run_test(size=(120, 40)) as pilot:
            await at_headers(pilot)
            await typed(pilot, "live")
            await comes(pilot, "Which sensor")
            await typed(pilot, "1")
            await swept_live(pilot, board, book, build, (duty,))
    at_hand = book.build(build).of(FanHeadersState).sweeping
    assert at_hand is not None
    assert [one.duty_pct for one in at_hand.readings] == [100.0] * 5 + [80.0] * 5


async def test_a_board_that_answers_slowly_never_holds_the_keys_up(
    board: FakeBoard, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    let_go, threads, came_back = threading.Event(), [], []

    class Stuck(MovingBoard):
        def read(self) -> BoardReading:
            threads.append(threading.current_thread())
            let_go.wait(PATIENCE_S)
            came_back.append(True)
            return super().read()

    stuck = Stuck(board, tmp_path)
    monkeypatch.setattr(bootstrap, "hwmon_board", lambda: stuck)
    book, _, build = begun(*SWEEPING)
    app = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_headers(pilot)
        await typed(pilot, "live")
        await comes(pilot, "being read")
        await until(pilot, lambda: bool(threads), "no reading began")  # a thread starts when the machine lets it
        await pilot.press(*"100 1498")
        assert line_of(pilot).draft == "100 1498"
        assert not came_back, "eight keys while the board hangs"
        await pilot.pause()
        assert len(threads) == 1, "no second reading begins while the first one hangs"
        assert threads[0] is not threading.main_thread()
        let_go.set()
        await comes(pilot, "Which sensor")


async def test_a_machine_without_sensors_goes_on_by_typing_with_one_key(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bootstrap, "hwmon_board", lambda: HwmonBoard(tmp_path))
    monkeypatch.setattr(fan_headers, "LOOK_S", 0.1)
    book, _, build = begun(*SWEEPING)
    app = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_headers(pilot)
        await typed(pilot, "live")
        await comes(pilot, "Nothing can be read live: no hwmon here")
        await typed(pilot, "")
        await comes(pilot, "Set 100 %, wait until front runs steadily")
        await typed(pilot, "1498")
        await comes(pilot, "Set 80 %, wait")


@pytest.mark.parametrize(
    "lines",
    [
        ("live", "hand", "100 1498", "undo", "", "end", "", "note it rattles"),
        (
            *DOWN_AND_UP,
            "",
            "layout",
            "",
            "board",
            "moves",
            "on today",
            "duties",
            "show front",
            "leave front 45 640",
            "",
            "",
        ),
        ("end", "100 1498", "sweep front", "end", "", "end", "", "go", "layout override", "take"),
        ("board", "stall", "20 0", "live", "sensor", "file", "file nowhere.csv"),
    ],
)
async def test_no_order_of_lines_ends_the_program(
    lines: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bootstrap, "hwmon_board", lambda: HwmonBoard(tmp_path))
    book, _, build = begun(*SWEEPING)
    app = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_headers(pilot)
        for line in lines:
            await typed(pilot, line)
            line_of(pilot).draft = ""
        assert isinstance(app.screen, BenchScreen)
        assert app.is_running
    assert book.verify() == []


async def test_a_reader_that_fails_altogether_hands_the_sweep_back_to_the_keys(
    board: FakeBoard, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Broken:
        def read(self) -> BoardReading:
            raise RuntimeError("no such driver")

    monkeypatch.setattr(bootstrap, "hwmon_board", Broken)
    book, _, build = begun(*SWEEPING)
    app = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_headers(pilot)
        await typed(pilot, "live")
        await comes(pilot, "the board cannot be read any more")
        await typed(pilot, "1498")
        await comes(pilot, "Set 80 %")
    assert board.there


# --- how it looks --------------------------------------------------------------------------------------------

FLAT = ("1497", "1490", "1495", "1492", "1497", "1496", "1490", "1492", "1495", "1497", "1495")
PHASES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "empty": ((), ()),
    "sheet": ((*HEADERS, *CHAINS), ()),
    "caution": ((*HEADERS, *CHAINS), ("plug pump PUMP",)),
    "layout": ((*HEADERS, *CHAINS), ("layout",)),
    "plugged": ((*PLUGGED, *PLUGGING), ()),
    "sweep": ((*PLUGGED, *PLUGGING, *SWEEPING, *DOWN_AND_UP[:7]), DOWN_AND_UP[7:8]),
    "result": ((*PLUGGED, *PLUGGING, *SWEEPING, *DOWN_AND_UP), ("",)),
    "ignores": ((*PLUGGED, *PLUGGING, "header SYS2 4-pin 2 A pwm", *SWEEPING, *FLAT), ("",)),
    "duties": ((*PLUGGED, *PLUGGING, *SWEEPING, *DOWN_AND_UP, ""), ("leave front 25 400",)),
}
"""Lines that lead to a state of the record, and lines that are typed on the screen then."""


def at_phase(phase: str, *, ascii_only: bool = False) -> AtStage:
    """The program at the fan headers, their record led to a phase."""
    book, _, _, build = powered()
    led(HeadersFlow(book, build), PHASES[phase][0])
    return AtStage(book, "fan_headers", build, ascii_only=ascii_only)


async def shown_at(pilot: Pilot[None], phase: str) -> str:
    """Type what a phase is still waiting for; return what stands on the screen then."""
    await at_headers(pilot)
    for line in PHASES[phase][1]:
        await typed(pilot, line)
    return await settled(pilot)


@pytest.mark.parametrize("phase", PHASES)
async def test_the_fan_headers_look_as_they_did(phase: str) -> None:
    app = at_phase(phase)
    async with app.run_test(size=SIZES[0]) as pilot:
        await shown_at(pilot, phase)
        await same_at_each_size(pilot, f"headers_{phase}", between=phase in ("plugged", "result"))


@pytest.mark.parametrize("phase", ["sheet", "sweep", "ignores", "layout"])
async def test_without_unicode_the_fan_headers_are_drawn_in_ascii_alone(phase: str) -> None:
    app = at_phase(phase, ascii_only=True)
    async with app.run_test(size=(120, 40)) as pilot:
        assert (await shown_at(pilot, phase)).isascii()


async def test_without_colour_every_state_has_a_word(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = at_phase("ignores")
    async with app.run_test(size=(80, 24)) as pilot:
        await shown_at(pilot, "ignores")
        shown = await comes(pilot, " FAIL  front on SYS1: ignores control")
        assert "Enter = plug front SYS2" in shown


async def test_hostile_names_harm_no_screen() -> None:
    book, _, _, build = powered()
    app = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(120, 40)) as pilot:
        await at_headers(pilot)
        for number, text in enumerate(HOSTILE[:6]):
            name = " ".join(text.split())[:20]
            for line in (f"header H{number} {name} 4-pin 2 A pwm", f"chain c{number} {name} 4-wire 0.2 A"):
                await typed(pilot, line)
                line_of(pilot).draft = ""
            assert harm_in(app) == []
        await typed(pilot, "layout")
        await settled(pilot)
        assert harm_in(app) == []
    assert len(book.build(build).plugged.chains) > 3


async def test_help_opens_from_the_stage() -> None:
    book, _, _, build = powered()
    app = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_headers(pilot)
        await pilot.press("f1")
        await comes(pilot, "Headers differ: some only change the voltage")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(flow_at(app), HeadersFlow)
