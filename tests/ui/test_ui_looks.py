"""What one person chose to see and hear is kept, and what falls due is heard once and seen."""

from collections.abc import Callable

import pytest

from commission.bench.clock_times import ClockTimes
from commission.ui.looks import FLASH_CLASS, Looks, falls_due, running_title
from commission.ui.theme import DARK, THEMES, theme_after, usual_theme
from tests.ui.bench import AtStage, ready, typed


class Kept:
    """A text in memory."""

    def __init__(self, text: str = "") -> None:
        self.text = text

    def load(self) -> str:
        return self.text

    def save(self, text: str) -> None:
        self.text = text


class Heard:
    """An app that counts its bells."""

    def __init__(self) -> None:
        self.bells = 0
        self.classes: set[str] = set()
        self._driver = None

    def bell(self) -> None:
        self.bells += 1

    def add_class(self, name: str) -> None:
        self.classes.add(name)

    def remove_class(self, name: str) -> None:
        self.classes.discard(name)

    def set_timer(self, _after_s: float, call: Callable[[], None]) -> None:
        self.later = call


def at(due_s: float | None, end_s: float | None = 600) -> ClockTimes:
    return ClockTimes(elapsed_s=100, due_in_s=due_s, ends_in_s=end_s)


def test_theme_and_bell_are_kept_until_the_next_start() -> None:
    kept = Kept()
    Looks(kept).choose(theme="bench-light", bell=False)
    again = Looks(kept, usual="bench-mono")
    assert (again.theme, again.bell) == ("bench-light", False)


@pytest.mark.parametrize("text", ["", "not json", "[]", '{"theme": 5, "bell": "no"}'])
def test_what_cannot_be_read_counts_as_not_chosen(text: str) -> None:
    looks = Looks(Kept(text), usual="bench-mono")
    assert (looks.theme, looks.bell) == ("bench-mono", True)


def test_it_rings_and_flashes_once_for_each_thing_that_falls_due() -> None:
    app, looks = Heard(), Looks()
    for due in (30.0, 1.0, 0.0, -1.0, -60.0):
        looks.tell(app, at(due), "")  # type: ignore[arg-type]
    assert app.bells == 1
    assert app.classes == {FLASH_CLASS}
    app.later()
    assert not app.classes
    for due in (300.0, 0.0):
        looks.tell(app, at(due), "")  # type: ignore[arg-type]
    assert app.bells == 2
    looks.tell(app, at(-5.0, end_s=0.0), "")  # type: ignore[arg-type]
    assert app.bells == 3, "the end is another thing than a reading"


def test_without_the_bell_it_flashes_only() -> None:
    app, looks = Heard(), Looks()
    looks.choose(bell=False)
    looks.tell(app, at(0.0), "")  # type: ignore[arg-type]
    assert app.bells == 0
    assert app.classes == {FLASH_CLASS}


def test_nothing_is_due_where_no_clock_runs() -> None:
    assert falls_due(None) == ""
    assert running_title(None, "Blue Heron") == ""


def test_the_title_takes_no_control_characters_from_a_name() -> None:
    said = running_title(at(0.0), "Heron\x07\x1b]0;owned\x07 ü")
    assert said.isascii()
    assert said.isprintable()
    assert said.startswith("1:40 of 11:40 - READING DUE - Heron")


def test_one_key_goes_through_all_themes() -> None:
    names, here = [], DARK.name
    for _ in THEMES:
        here = theme_after(here)
        names.append(here)
    assert sorted(names) == sorted(theme.name for theme in THEMES)
    assert here == DARK.name


def test_a_terminal_says_itself_how_much_colour_it_has() -> None:
    # https://no-color.org: "when present and not an empty string (regardless of its value)"
    assert usual_theme({"NO_COLOR": "", "TERM": "xterm-256color"}) == "bench-dark"
    assert usual_theme({"NO_COLOR": "0", "TERM": "xterm-256color"}) == "bench-mono"
    assert usual_theme({"TERM": "xterm", "COLORTERM": "truecolor"}) == "bench-dark"


async def test_a_reading_that_falls_due_rings_on_the_hold_and_one_key_ends_that() -> None:
    book, _, clock, build = ready()
    app = AtStage(book, "pressure_hold", build)
    rung: list[int] = []
    app.bell = lambda: rung.append(1)  # type: ignore[method-assign]
    async with app.run_test(size=(80, 24)) as pilot:
        await typed(pilot, "500 21")
        app._poll()
        assert not rung
        clock.run(300)
        app._poll()
        app._poll()
        assert len(rung) == 1
        assert app.has_class(FLASH_CLASS)
        await typed(pilot, "500 21")
        app._poll()
        await pilot.press("ctrl+b")
        clock.run(300)
        app._poll()
        assert len(rung) == 1
        before = app.theme
        await pilot.press("f6")
        assert app.theme == theme_after(before)
