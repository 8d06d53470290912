"""A hint row lists words that are known at its moment: none of them is answered as something nobody can read."""

import re
from collections.abc import Callable

import pytest

from commission.base.errors import CommissionError
from commission.bench.ask import Flow
from commission.record.entries import NoteAdded
from commission.stages.bleed.card.bleed import BleedFlow
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.lines.at_hand import View
from commission.stages.fill.card.fill import FillFlow
from commission.stages.first_power.card.first_power import FirstPowerFlow
from commission.stages.pressure_hold.card.hold import HoldFlow
from tests.fakes import HandClock
from tests.stages.fan_headers.screen.headers_bench import DOWN_AND_UP, SWEEPING, plugged
from tests.stages.fill.screen.coolant_bench import bleeding, filled, poured
from tests.stages.first_power.screen.power_bench import supplied, watching
from tests.ui.bench import led, ready

UNKNOWN = re.compile(r"not understood|was not expected|\bis no (?!file|date)|has no unit|is not a |cannot be read")
"""How a word is refused that nothing at this moment knows; one that lacks its number or name is refused otherwise."""


def hold(*lines: str, every_s: float = 300) -> HoldFlow:
    """A hold of 10 min settling and 30 min, with a line every 5 min."""
    book, _, clock, build = ready()
    flow = HoldFlow(book, build)
    for line in lines:
        led(flow, [line])
        let_pass(flow, clock, every_s)
    return flow


def let_pass(flow: Flow, clock: HandClock, seconds: float) -> None:
    """Let time go by."""
    clock.run(seconds)
    flow.refresh()


def held() -> HoldFlow:
    """A hold that was ended, with the pressure let down."""
    flow = hold(*["500.0 21.0"] * 9)
    led(flow, ["end", "0 mbar"])
    return flow


def swept() -> HeadersFlow:
    """A chain that was swept, with the board looked at again."""
    flow, *_ = plugged(*SWEEPING, *DOWN_AND_UP, "end")
    flow.hand.view = View.BOARD
    return flow


MOMENTS: dict[str, Callable[[], Flow]] = {
    "hold running": lambda: hold("500.0 21.0"),
    "hold ended": held,
    "pouring": lambda: FillFlow(*book_and_build(poured())),
    "fill ended": lambda: FillFlow(*book_and_build(filled())),
    "bleeding": lambda: BleedFlow(*book_and_build(bleeding())),
    "supply": lambda: FirstPowerFlow(*book_and_build(supplied())),
    "leak watch": lambda: FirstPowerFlow(*book_and_build(watching())),
    "plugged": lambda: plugged()[0],
    "sweeping": lambda: plugged(*SWEEPING, *DOWN_AND_UP[:2])[0],
    "swept": swept,
}


def book_and_build(of: tuple) -> tuple:  # type: ignore[type-arg]
    """The logbook and the build of what a helper made."""
    return of[0], of[3]


def offered(hint: str) -> list[str]:
    """The words or lines that a hint offers: its parts between dots that begin as something to type."""
    parts = re.sub(r"\b(such as|or): ", "", hint).split(" · ")
    lines = [re.split(r" opens | begins | judges | \(", part)[0].replace("…", "as seen").strip() for part in parts]
    return [line for line in lines if re.match(r"[a-z]", line) and len(line.split()) < 5]


@pytest.mark.parametrize("moment", MOMENTS)
def test_each_word_of_the_hint_row_is_known(moment: str) -> None:
    flow = MOMENTS[moment]()
    prompt = flow.now()
    assert prompt is not None
    lines = offered(prompt.hint)
    assert lines, f"nothing to type in {prompt.hint!r}"
    refused = {}
    for line in lines:
        try:
            prompt.understand(line)
        except CommissionError as error:
            if UNKNOWN.search(str(error)):
                refused[line] = str(error)
    assert refused == {}, prompt.hint


def test_a_note_after_a_hold_is_stored() -> None:
    flow = held()
    prompt = flow.now()
    assert prompt is not None
    assert "note" in prompt.hint.split(" · ")
    assert flow.answer("note hose smells of rubber") == "note: hose smells of rubber"
    notes = [one.payload for one in flow.hand.book.entries(flow.hand.build_id) if isinstance(one.payload, NoteAdded)]
    assert notes[-1].text == "hose smells of rubber"
