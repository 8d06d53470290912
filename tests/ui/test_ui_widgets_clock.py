"""The clock of a running hold."""

import pytest
from textual.app import App, ComposeResult
from textual.widgets import Digits

from commission.bench.clock_times import ClockTimes, clock_text, clock_words
from commission.ui.theme import dress
from commission.ui.widgets.hold_clock import HoldClock
from tests.ui.pictures import text_of


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0:00"),
        (0.9, "0:00"),
        (59.9, "0:59"),
        (60, "1:00"),
        (3599, "59:59"),
        (3600, "1:00:00"),
        (86400, "24:00:00"),
        (-65, "-1:05"),
    ],
)
def test_times_read_as_on_a_clock(seconds: float, text: str) -> None:
    assert clock_text(seconds) == text


@pytest.mark.parametrize(
    ("due", "words"),
    [
        (None, ""),
        (120.0, "next reading in 2:00"),
        (5.0, "reading due NOW"),
        (-5.0, "reading due NOW"),
        (-60.0, "reading OVERDUE by 1:00"),
    ],
)
def test_a_due_reading_is_called_for_in_words(due: float | None, words: str) -> None:
    assert clock_words(ClockTimes(elapsed_s=10.0, due_in_s=due))[1] == words


def test_a_hold_past_its_end_says_by_how_much() -> None:
    assert clock_words(ClockTimes(elapsed_s=10.0, ends_in_s=-61.0))[2] == "past its planned end by 1:01"
    assert clock_words(ClockTimes(elapsed_s=10.0, settling=True))[0] == "settling 0:10"


class Wall(App[None]):
    """A clock of a given height."""

    def __init__(self, rows: int, *, plain: bool = False) -> None:
        super().__init__()
        self.rows = rows
        dress(self, ascii_only=plain)

    def compose(self) -> ComposeResult:
        yield HoldClock()

    def on_mount(self) -> None:
        clock = self.query_one(HoldClock)
        clock.styles.height = self.rows
        clock.tick(ClockTimes(elapsed_s=605, due_in_s=163, ends_in_s=600))
        clock.read("497.5 mbar", remark="2:43 ago")


async def test_one_row_holds_all_times() -> None:
    app = Wall(1)
    async with app.run_test(size=(80, 5)) as pilot:
        await pilot.pause()
        line = text_of(app).split("\n")[0]
        assert line == "running 10:05 · next reading in 2:43 · ends in 10:00 · last 497.5 mbar"


async def test_three_rows_hold_the_reading_in_large_figures() -> None:
    app = Wall(3)
    async with app.run_test(size=(80, 5)) as pilot:
        await pilot.pause()
        assert app.query_one(Digits).value == "497.5"
        assert app.query_one(Digits).display
        shown = text_of(app)
        assert "mbar · 2:43 ago" in shown
        assert "running 10:05 · ends in 10:00" in shown
        assert "next reading in 2:43" in shown


async def test_in_ascii_there_are_no_large_figures() -> None:
    app = Wall(3, plain=True)
    async with app.run_test(size=(80, 5)) as pilot:
        await pilot.pause()
        assert text_of(app).isascii()
        assert "last 497.5 mbar" in text_of(app)


@pytest.mark.parametrize("width", [1, 5, 14, 30])
async def test_a_narrow_clock_leaves_out_whole_words_only(width: int) -> None:
    app = Wall(1)
    async with app.run_test(size=(width, 3)) as pilot:
        await pilot.pause()
        line = text_of(app).split("\n")[0]
        assert len(line) <= width
        assert "running 10:05 · next reading in 2:43 · ends".startswith(line.rstrip("…"))
