"""Helpers of the screen tests: a flow that is led by lines, and an app that is typed into."""

import asyncio
import time
from collections.abc import Callable, Iterable
from pathlib import Path

import textual.screen
from textual.app import App
from textual.pilot import Pilot
from textual.screen import Screen

from commission.__main__ import job as usual_job
from commission.bench.ask import Flow
from commission.bench.job import Job
from commission.record.logbook import Logbook
from commission.ui import app as app_module
from commission.ui.app import CommissionApp
from commission.ui.looks import Looks
from commission.ui.screens.flow_screen import FlowScreen
from commission.ui.screens.home import HomeScreen
from commission.ui.screens.made import screen_of
from commission.ui.theme import LIGHT
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.typed_line import TypedLine
from tests.answers import HOLD
from tests.fakes import HandClock, ListLog, built_once, new_book
from tests.surroundings import PATIENCE_S
from tests.ui.pictures import text_of
from tests.ui.quiet import NO_FRAMES_S

GAUGE = ("1", "step 0.1", "")
"""Describes a digital gauge that shows 0.1 mbar."""


def led(flow: Flow, lines: Iterable[str]) -> list[str]:
    """Answer a flow line by line, an empty line being Enter; return what it said."""
    said = []
    for line in lines:
        prompt = flow.now()
        assert prompt is not None, f"nothing was asked where {line!r} was to be typed"
        text = line or prompt.proposal
        assert text is not None, f"Enter takes nothing at: {prompt.ask}"
        said.append(flow.answer(text))
    return said


def asked(flow: Flow) -> str:
    """The instruction that stands there now."""
    prompt = flow.now()
    return prompt.ask if prompt else ""


def new_app(book: Logbook, *, light: bool = False, ascii_only: bool = False, job: Job | None = None) -> CommissionApp:
    """An app that imports nothing in the background."""
    assert textual.screen.UPDATE_PERIOD == NO_FRAMES_S, "this folder's conftest takes over that of tests/ui"
    looks = Looks(usual=LIGHT.name if light else "")
    return CommissionApp(lambda: book, job=job or usual_job(), looks=looks, ascii_only=ascii_only, warm=lambda _: None)


class AtStage(CommissionApp):
    """The program with a stage of a build as its first screen; the way from the builds to it has tests of its own."""

    CSS_PATH = str(Path(app_module.__file__).with_name("app.tcss"))

    def __init__(self, book: Logbook, name: str, build: str, *, ascii_only: bool = False) -> None:
        job = usual_job()
        super().__init__(lambda: book, job=job, ascii_only=ascii_only, warm=lambda _: None)
        self._have(book, job.stages())
        self._stage = name
        self.build_id = build

    def get_default_screen(self) -> Screen[None]:
        return screen_of(self, self._stage, self.build_id)

    def _painted(self) -> None:
        """The logbook is open already."""


@built_once
def one_build(name: str = "North tower") -> tuple[Logbook, ListLog, HandClock, str]:
    """A logbook with an operator and one empty build."""
    book, log, clock = new_book()
    book.name_operator("Ada")
    return book, log, clock, book.open_build(name)


@built_once
def with_parts() -> tuple[Logbook, ListLog, HandClock, str]:
    """A build with a radiator, a block and a tube on its sheet."""
    from commission.stages.build_sheet.card.sheet import SheetFlow

    book, log, clock, build = one_build()
    led(SheetFlow(book, build), ["radiator 360", "", "cpu block", "", "tube 10 mm x 1,2 m", ""])
    return book, log, clock, build


@built_once
def ready() -> tuple[Logbook, ListLog, HandClock, str]:
    """A build whose hold starts with the next reading: gauge and thermometer, no barometer, 1.2 L typed."""
    from commission.stages.pressure_hold.card.hold import HoldFlow

    book, log, clock, build = with_parts()
    flow = HoldFlow(book, build)
    led(flow, ["1.2 L ± 5 %", *GAUGE, "", "", "", "none", "time 30 min", "", *HOLD, "", "", "", "hose off"])
    return book, log, clock, build


async def at_home(pilot: Pilot[None]) -> HomeScreen:
    """Wait until the builds have the logbook and the first is known, and return their screen."""
    screen = pilot.app.screen
    assert isinstance(screen, HomeScreen)
    await until(pilot, lambda: screen.opened, "the logbook was not handed over")
    await until(pilot, lambda: all(screen.flow.known(row.build_id) for row in screen.flow.builds[:1]), "none is known")
    await pilot.pause()
    return screen


async def until(pilot: Pilot[None], there: Callable[[], bool], otherwise: str) -> None:
    """Wait until something has come about; say what has not when it takes longer than on the slowest machine.

    For what the app does by itself, on a timer or in a thread; what a key starts is done when the key is pressed.
    """
    end = time.monotonic() + PATIENCE_S
    while not there():
        assert time.monotonic() < end, f"{otherwise}:\n{text_of(pilot.app)}"
        await asyncio.sleep(0.002)
        await pilot.pause()


async def look_round(pilot: Pilot[None]) -> None:
    """Let the app look about now, as it does once a second: it reads the clocks, and what others have recorded."""
    app = pilot.app
    assert isinstance(app, CommissionApp)
    app._poll()
    await pilot.pause()


async def typed(pilot: Pilot[None], text: str) -> None:
    """Put a text into the line of the screen and press Enter."""
    pilot.app.screen.query_one(TypedLine).put(text)
    await pilot.press("enter")
    await pilot.pause()


def line_of(pilot: Pilot[None]) -> DoNowLine:
    """The line of the screen."""
    return pilot.app.screen.query_one(DoNowLine)


def flow_at(app: App[None]) -> Flow | None:
    """Return the flow of the screen that is up; None where it has none of a stage's kind."""
    return app.screen.flow if isinstance(app.screen, FlowScreen) else None


def tick(app: App[None]) -> None:
    """Let a second go by on the screen that is up."""
    assert isinstance(app.screen, FlowScreen)
    app.screen.tick()


def stop_writing(log: ListLog, because: str) -> None:
    """Make a log read-only."""
    log.read_only_because = because
