"""A hint row lists what is known at its moment, nothing else, and where there is more it says how that is told.

The moments are those of a way through every stage, of a hold that leaks, and of what the stages' own tests build.
"""

import re
from collections.abc import Callable
from functools import cache
from typing import ClassVar

import pytest

from commission.base.errors import CommissionError
from commission.bench.ask import Flow
from commission.bench.prompt import Prompt
from commission.bench.words_here import EVERYWHERE, not_named, told_here, with_more, words_here
from commission.record.entries import NoteAdded
from commission.stages.bleed.card.bleed import BleedFlow
from commission.stages.build_sheet.card.instruments import instruments_flow
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.stages.fan_headers.at_hand import View
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.typed.chain import FED_PUMP_EXAMPLE
from commission.stages.fill.card.fill import FillFlow
from commission.stages.first_power.card.first_power import FirstPowerFlow
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.thermal_soak.card.soak import SoakFlow
from tests.answers import HOLD
from tests.fakes import HandClock, new_book
from tests.soaks import soaking
from tests.stages.fan_headers.screen.headers_bench import DOWN_AND_UP, SWEEPING, plugged
from tests.stages.fill.screen.coolant_bench import bleeding, filled, poured
from tests.stages.first_power.screen.power_bench import supplied, watching
from tests.ui.bench import GAUGE, AtStage, led, one_build, ready, typed, with_parts
from tests.ui.pictures import text_of
from tests.ui.test_ui_locks_walk import SCRIPTS, Typist

UNKNOWN = re.compile(r"not understood|was not expected|\bis no (?!file|date)|has no unit|is not a |cannot be read")
"""How a word is refused that nothing at this moment knows; one that lacks its number or name is refused otherwise."""
MADE = ["1.2 L ± 5 %", *GAUGE, "", "", "", "none", "time 30 min", "", *HOLD, "", "", "", "hose off"]
"""Plans a hold and connects it."""


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


class Seen(dict[tuple[str, str, str], tuple[Prompt, dict[str, str], tuple[str, ...]]]):
    """Each moment once: its prompt, what it offered and nothing knew, and the words that its reader looks for."""

    told: ClassVar[set[str]] = set()
    """What the question mark told at all of them."""

    def look(self, flow: Flow) -> None:
        """Look at the prompt while it stands: what is understood depends on the record."""
        prompt = flow.now()
        where = (type(flow).__name__, prompt.key if prompt else "", prompt.hint if prompt else "")
        if prompt is not None and where not in self:
            self[where] = prompt, unknown_of(prompt), words_here(prompt)
            self.told.update(told_here(prompt))


class Looking(Typist):
    """Types, and looks at the prompt before each line and after it."""

    seen = Seen()

    def _enter(self, flow: Flow, line: str) -> None:
        self.seen.look(flow)
        super()._enter(flow, line)
        self.seen.look(flow)

    def _read_all(self, flow: Flow) -> None:
        self.seen.look(flow)
        super()._read_all(flow)


@cache
def seen() -> Seen:
    """Every moment of the walks."""
    found = Looking.seen
    typist = Looking()
    typist.hold()
    typist.type("headers", FED_PUMP_EXAMPLE)
    for name, lines in SCRIPTS.items():
        for line in lines:
            typist.type(name, line)
    book, _, clock, build = one_build()
    walk(found, SheetFlow(book, build), ["radiator 360", "", "cpu block", "", "tube 10 mm x 1,2 m", "", "edit cpu", ""])
    book, _, clock, build = with_parts()
    flow = HoldFlow(book, build)
    walk(found, flow, MADE)
    for fallen in range(9):  # far more than the limit: the search begins
        walk(found, flow, [f"{500 - 8 * fallen}.0 21.0"])
        let_pass(flow, clock, 300)
    walk(found, flow, ["end", "0 mbar", "search", "", "500 mbar", "400 mbar leaks", "0 mbar", "found"])
    for make in MOMENTS.values():
        found.look(make())
    book, _, clock = new_book()
    found.look(SoakFlow(book, soaking(book, clock)))
    return found


def walk(found: Seen, flow: Flow, lines: list[str]) -> None:
    """Answer line by line, and look at each prompt."""
    for line in lines:
        found.look(flow)
        led(flow, [line])
    found.look(flow)


def offered(hint: str) -> list[str]:
    """The words or lines that a hint offers: its parts between dots that begin as something to type."""
    parts = re.sub(r"\b(such as:?|or:|one of:) ", "", hint).split(" · ")
    lines = [re.split(r" opens | begins | judges | \(|: ", part)[0].replace("…", "as seen").strip() for part in parts]
    return [line for line in lines if re.match(r"[a-z]", line) and len(line.split()) < 5]


def unknown_of(prompt: Prompt) -> dict[str, str]:
    """What a hint offers and nothing at its moment knows, with how it is refused."""
    refused = {}
    for line in offered(prompt.hint):
        try:
            prompt.understand(line)
        except CommissionError as error:
            if UNKNOWN.search(str(error)) and '"NAME"' not in str(error):  # it stands for a name, and is none
                refused[line] = str(error)
    return refused


def test_the_walks_reach_each_stage_at_many_moments() -> None:
    flows = [flow for flow, *_ in seen()]
    least = {"SheetFlow": 3, "HoldFlow": 25, "FillFlow": 10, "BleedFlow": 4, "FirstPowerFlow": 12, "HeadersFlow": 7}
    assert {name: flows.count(name) for name in least if flows.count(name) < least[name]} == {}
    assert "SoakFlow" in flows


def test_each_word_of_every_hint_row_is_known() -> None:
    assert {where: refused for where, (_, refused, _) in seen().items() if refused} == {}


def test_every_word_that_is_taken_stands_in_the_hint_row_or_is_told_by_its_question_mark() -> None:
    known = {word for _, _, words in seen().values() for word in words}
    assert len(known) > 60
    for prompt, _, words in seen().values():
        shown = with_more(prompt)
        assert shown is not None
        hidden = [word for word in words if word not in EVERYWHERE and not re.search(rf"\b{word}\b", said(prompt))]
        assert bool(hidden) is shown.hint.endswith("? more") is bool(not_named(prompt)), prompt.key


def test_no_stage_refuses_a_note_while_it_asks_for_a_caution() -> None:
    asked = [(flow, words) for (flow, key, _), (_, _, words) in seen().items() if key.startswith("caution")]
    assert {flow for flow, _ in asked} >= {"HoldFlow", "FillFlow", "BleedFlow", "FirstPowerFlow", "HeadersFlow"}
    assert [flow for flow, words in asked if "note" not in words] == []


def said(prompt: Prompt) -> str:
    """All that a prompt says, in small letters."""
    return " ".join((prompt.ask, prompt.hint, prompt.placeholder, prompt.proposal or "")).casefold()


def test_no_word_of_another_moment_is_taken_in_silence() -> None:
    """What one moment takes and another takes as well is named there, or looked for by its reader."""
    flow = hold("500.0 21.0")
    prompt = flow.now()
    assert prompt is not None
    assert set(words_here(prompt)) == {"end", "undo", "note", "at", "extend", "abort"}
    for word in {word for _, _, words in seen().values() for word in words} - set(words_here(prompt)):
        with pytest.raises(CommissionError):
            prompt.understand(word)


def test_where_a_hint_promises_more_the_question_mark_tells_it() -> None:
    form = instruments_flow(new_book()[0])
    led(form, ["new", "thermometer"])
    figures = form.now()
    assert figures is not None
    assert "calibrated DATE: when it was last compared" in told_here(figures)
    assert "face dial: it has a needle; or face digital. Not now: " in "\n".join(told_here(figures)[-2:])
    for prompt, _, _ in seen().values():
        assert told_here(prompt) or not not_named(prompt), prompt.key


def test_a_word_is_told_by_what_it_does_and_not_by_what_a_line_of_it_alone_lacks() -> None:
    lacking = re.compile(r'^[^:]*: (type |nothing was typed|"|there is no |no )|says not')
    told = [line.partition(". Not now: ")[0] for line in seen().told]
    assert sorted(line for line in told if lacking.search(line)) == []
    assert {"drain 250 mL: what was let out on purpose", "time 1 h: how long it is held after settling"} <= set(told)
    assert "remove NAME: takes a part off the list" in told


async def test_a_question_mark_tells_each_word_and_what_it_does_now() -> None:
    book, _, _, build = poured()
    app = AtStage(book, "fill", build)
    async with app.run_test(size=(60, 18)) as pilot:
        await pilot.pause()
        assert "drain 250 mL" not in text_of(app)
        before = book.head().seq
        await typed(pilot, "?")
        shown = text_of(app)
        assert "drain 250 mL: what was let out on purpose" in shown
        assert "here again after the next answer" in shown  # the cautions make room for what was asked for
        assert book.head().seq == before
        assert app.screen.typed.draft == ""  # type: ignore[attr-defined]
        await typed(pilot, "note all dry")
        assert "drain 250 mL" not in text_of(app)
        assert "here again after the next answer" not in text_of(app)


@pytest.mark.parametrize(
    ("moment", "line", "today"),
    [
        ("hold running", "abandon", "abort"),
        ("hold ended", "retest", "again"),
        ("hold ended", "finding", "defect"),
        ("pouring", "mark 120 mm 23 degC", "level"),
        ("pouring", "at 22 degC", "temp"),
        ("pouring", "pour 250 mL", "the amount alone"),
        ("fill ended", "refill", "again"),
        ("bleeding", "mark 120 mm", "level"),
        ("plugged", "close", "end"),
        ("supply", "mended crimp", "repaired"),
    ],
)
def test_a_word_of_before_answers_with_the_one_of_today(moment: str, line: str, today: str) -> None:
    prompt = MOMENTS[moment]().now()
    assert prompt is not None
    with pytest.raises(CommissionError, match=f"{line.split(maxsplit=1)[0]} is renamed: type {today}"):
        prompt.understand(line)


def test_the_marks_of_a_bottle_are_no_level() -> None:
    prompt = MOMENTS["pouring"]().now()
    assert prompt is not None
    with pytest.raises(CommissionError, match="marks 900 300 mL"):
        prompt.understand("level 900 300 mL")
    assert "600 mL" in prompt.understand("marks 900 300 mL")


def test_a_note_after_a_hold_is_stored() -> None:
    flow = held()
    prompt = flow.now()
    assert prompt is not None
    assert "note" in prompt.hint.split(" · ")
    assert flow.answer("note hose smells of rubber") == "note: hose smells of rubber"
    notes = [one.payload for one in flow.hand.book.entries(flow.hand.build_id) if isinstance(one.payload, NoteAdded)]
    assert notes[-1].text == "hose smells of rubber"
