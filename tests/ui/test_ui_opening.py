"""The first picture while the logbook is being opened: its line is live, and what is entered waits for the logbook."""

import threading
from collections.abc import Callable, Iterator
from importlib.util import find_spec

import pytest
from textual.message import Message
from textual.pilot import Pilot

from commission.__main__ import job
from commission.base.errors import CommissionError, LogbookError
from commission.record.logbook import Logbook
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.ui.app import WARM_S, CommissionApp
from commission.ui.screens.home import HomeScreen
from tests.fakes import new_book
from tests.surroundings import PATIENCE_S
from tests.ui.bench import at_home, flow_at, line_of, new_app, one_build, typed, until
from tests.ui.pictures import text_of

NAMES = (("b1", "North tower"), ("b2", "South tower"))


class Gate:
    """Opens a logbook once it is told to, as a slow disk would."""

    def __init__(self, book: Logbook) -> None:
        self.book = book
        self.thread: int | None = None
        self._gate = threading.Event()

    def __call__(self) -> Logbook:
        self.thread = threading.get_ident()
        assert self._gate.wait(PATIENCE_S), "nobody opened the gate"
        return self.book

    def open(self) -> None:
        self._gate.set()


@pytest.fixture
def gate() -> Iterator[Gate]:
    """A gate that is opened at the end at the latest: a thread that waits would never end."""
    made = Gate(new_book()[0])
    yield made
    made.open()


def slow_app(gate: Gate) -> CommissionApp:
    return CommissionApp(gate, job=job(), names=NAMES, warm=lambda _: None)


async def waits(pilot: Pilot[None], gate: Gate) -> None:
    """Wait until the first picture stands and the logbook is being opened."""
    await until(pilot, lambda: gate.thread is not None, "nobody opens the logbook")


async def test_the_names_and_a_live_line_stand_there_while_the_logbook_is_opened_elsewhere(gate: Gate) -> None:
    app = slow_app(gate)
    async with app.run_test(size=(80, 24)) as pilot:
        await waits(pilot, gate)
        assert gate.thread != threading.get_ident()
        assert "North tower" in text_of(app)
        assert "Opening the logbook" in text_of(app)
        await pilot.press(*"Adx", "backspace", "a")
        assert line_of(pilot).draft == "Ada"
        assert "> Ada" in text_of(app)
        assert "not yet: the logbook is still being opened" in text_of(app)
        gate.open()
        await at_home(pilot)
        assert line_of(pilot).draft == "Ada"
        assert "understood: from now on: Ada" in text_of(app)
        assert "Who works at this bench" in text_of(app)


async def test_what_does_more_than_type_waits_for_the_logbook_and_all_behind_it(gate: Gate) -> None:
    app = slow_app(gate)
    async with app.run_test(size=(80, 24)) as pilot:
        await waits(pilot, gate)
        await pilot.press(*"Ada", "enter", *"West tower", "enter", "f4", *"note done", "enter", "f2", *"pum")
        assert line_of(pilot).draft == "Ada"
        assert gate.book.shop().operator == ""
        gate.open()
        await until(pilot, lambda: isinstance(flow_at(app), SheetFlow) and line_of(pilot).draft == "pum", "lost")
    assert gate.book.shop().operator == "Ada"
    (row,) = gate.book.builds()
    assert row.name == "West tower"
    assert "done" in str(gate.book.entries(row.build_id)[-1].payload)


async def test_a_click_at_a_name_does_nothing_until_the_logbook_is_there(gate: Gate) -> None:
    app = slow_app(gate)
    async with app.run_test(size=(80, 24)) as pilot:
        await waits(pilot, gate)
        for line in (1, 1, 2, 2):
            await pilot.click("BuildList", offset=(3, line))
        await pilot.click(".do-now--enter")
        assert isinstance(app.screen, HomeScreen)
        gate.open()
        await at_home(pilot)
        assert "Who works" in text_of(app)


async def test_one_may_leave_while_the_logbook_is_being_opened(gate: Gate) -> None:
    app = slow_app(gate)
    async with app.run_test(size=(80, 24)) as pilot:
        await waits(pilot, gate)
        threading.Timer(0.2, gate.open).start()  # the end waits for the thread, so that the logbook can be closed
        await pilot.press(*"Nor", "ctrl+q")
    assert app.return_code == 0
    assert not gate.book.builds()


async def ended_by(opener: Callable[[], Logbook]) -> CommissionApp:
    app = CommissionApp(opener, job=job(), names=NAMES, warm=lambda _: None)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: not app.is_running or app.return_code is not None, "it goes on without a logbook")
    return app


async def test_a_logbook_that_cannot_be_opened_ends_the_screens_with_the_reason() -> None:
    why = LogbookError("the file is no logbook")

    def refuse() -> Logbook:
        raise why

    app = await ended_by(refuse)
    assert app.failure is why
    assert isinstance(app.failure, CommissionError)
    assert app.return_code == 2


async def test_a_fault_while_the_logbook_is_opened_ends_with_a_status_that_is_not_zero() -> None:
    def broken() -> Logbook:
        raise RuntimeError("broken on purpose")

    with pytest.raises(Exception, match="broken on purpose"):
        await ended_by(broken)


async def test_what_comes_next_is_imported_once_after_a_second_without_keys() -> None:
    warmed: list[str] = []
    app = CommissionApp(lambda: one_build()[0], job=job(), warm=warmed.extend)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.last_key_s = Message().time + 3600
        app._warm_when_quiet()
        assert warmed == [], "somebody types"
        app.last_key_s = Message().time - WARM_S
        app._warm_when_quiet()
        # the verdict of a hold rests on numpy and scipy; a second import of it while a reading is typed would be felt
        assert "commission.stages.pressure_hold.judge.verdict" in warmed
        assert all(find_spec(name) is not None for name in warmed)


async def test_the_screen_of_the_builds_is_the_first_and_the_last_on_the_stack() -> None:
    app = new_app(one_build()[0])
    async with app.run_test(size=(80, 24)) as pilot:
        home = await at_home(pilot)
        assert app.screen_stack == [home]
        await typed(pilot, "")
        assert len(app.screen_stack) == 2
        await pilot.press("escape")
        await pilot.press("escape")
        assert app.screen_stack == [home]
