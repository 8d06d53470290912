"""The line of keys: each is named once, in order, and a click presses it."""

from textual.app import App, ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.events import MouseEvent, MouseScrollDown, MouseScrollUp
from textual.visual import VisualType
from textual.widgets import Static

from commission.ui.theme import dress
from commission.ui.widgets.keys import Keys
from commission.ui.widgets.lines import Lines
from tests.ui.pictures import text_of


class Foot(App[None]):
    """A screen with keys of which one comes and goes."""

    BINDINGS = [  # noqa: RUF012 - Textual's word
        Binding("f1", "say('help')", "Help", key_display="F1"),
        Binding("f3", "turn", "Stage", key_display="F3"),
        Binding("f7", "say('walk')", "Walk", key_display="F7", show=False),
        Binding("ctrl+l", "say('leave')", "Leave", key_display="Ctrl+L"),
        Binding("f9", "say('leave')", "Leave too", key_display="F9"),
    ]

    def __init__(self) -> None:
        super().__init__()
        dress(self)
        self.heard: list[str] = []
        self.turns = True

    def compose(self) -> ComposeResult:
        yield Static()
        yield Keys()

    def action_say(self, word: str) -> None:
        self.heard.append(word)

    def action_turn(self) -> None:
        self.turns = False
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return self.turns if action == "turn" else True


def foot(app: App[None]) -> str:
    return text_of(app).splitlines()[-1]


def turned(way: type[MouseEvent], line: Keys) -> MouseEvent:
    """The wheel above the line, turned by a notch."""
    return way(line, x=1, y=0, delta_x=0, delta_y=0, button=0, shift=False, meta=False, ctrl=False)


async def test_shown_keys_stand_there_once_and_one_that_leads_nowhere_goes() -> None:
    app = Foot()
    async with app.run_test(size=(60, 5)) as pilot:
        await pilot.pause()
        assert foot(app).startswith("F1 Help F3 Stage Ctrl+L Leave")
        assert "Walk" not in foot(app)
        assert "too" not in foot(app)
        await pilot.press("f3")
        await pilot.pause()
        assert foot(app).startswith("F1 Help Ctrl+L Leave")


async def test_a_click_presses_the_key_under_it_and_none_between_two() -> None:
    app = Foot()
    async with app.run_test(size=(60, 5)) as pilot:
        await pilot.pause()
        await pilot.click(Keys, offset=(3, 0))
        await pilot.click(Keys, offset=(7, 0))  # the blank between two keys
        await pilot.click(Keys, offset=(foot(app).index("Leave"), 0))
        await pilot.click(Keys, offset=(55, 0))  # behind the last
        await pilot.pause()
        assert app.heard == ["help", "leave"]


async def test_the_wheel_brings_the_keys_into_view_that_have_no_room() -> None:
    app = Foot()
    async with app.run_test(size=(20, 5)) as pilot:
        await pilot.pause()
        line = app.query_one(Keys)
        assert foot(app) == "F1 Help Ctrl+L Leave", "two keys have room, and the last is never left out"
        line.post_message(turned(MouseScrollDown, line))
        await pilot.pause()
        assert foot(app) == "F3 Stage", "no key is cut"
        for _ in range(9):
            line.post_message(turned(MouseScrollDown, line))
        await pilot.pause()
        assert foot(app) == "Ctrl+L Leave", "no further than to the last key"
        await pilot.click(Keys, offset=(11, 0))
        assert app.heard == ["leave"]
        for _ in range(9):
            line.post_message(turned(MouseScrollUp, line))
        await pilot.pause()
        assert foot(app) == "F1 Help Ctrl+L Leave"


class Watched(Lines):
    """Notes whether a change asked for a layout."""

    def __init__(self) -> None:
        super().__init__()
        self.laid_out: list[bool] = []

    def update(self, content: VisualType = "", *, layout: bool = True) -> None:
        self.laid_out.append(layout)


def test_lines_that_stay_are_not_drawn_again_and_as_many_are_not_laid_out_again() -> None:
    lines = Watched()
    for text in ("497 mbar", "497 mbar", "499 mbar", "499 mbar\nwarmer"):
        lines.put(Content(text))
    lines.put(Content.styled("499 mbar\nwarmer", "bold"))
    assert lines.laid_out == [True, False, True, False], "the first, another figure, another row, another style"
