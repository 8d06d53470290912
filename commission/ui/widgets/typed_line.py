"""An input line that no paste and no key can hurt."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.highlighter import Highlighter
from rich.text import Text
from textual import events
from textual.binding import Binding
from textual.geometry import Size
from textual.message import Message
from textual.reactive import Reactive
from textual.widgets import Input

from commission.base.text import clean
from commission.bench.only_this import Old

LONGEST = 500
"""Characters that the line takes."""


class TypedLine(Input):
    """Free text of bounded length; control characters become visible, and the bell stays silent.

    It knows which beginning of it was refused, or typed before, and underlines that; editing inside makes it ordinary.

    Parameters
    ----------
    clear
        Empties the line.
    """

    @dataclass
    class Cut(Message):
        """Not all of a text was taken."""

        line: "TypedLine"
        """The line."""
        why: str
        """What was left out."""

    DEFAULT_CSS = """
    TypedLine > .typed-line--old { color: $text-muted; text-style: underline; }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {"typed-line--old"}
    BINDINGS = [  # noqa: RUF012 - Textual's word
        Binding("ctrl+u", "clear_line", "Clear", key_display="Ctrl+U"),
    ]

    virtual_size = Reactive(Size(0, 0))
    """How much there is to scroll: it changes with each key, and nothing is laid out again for that."""

    def __init__(self, clear: Callable[[], None]) -> None:
        self._clear = clear
        self._old: tuple[Old, ...] = ()
        super().__init__(max_length=LONGEST, compact=True, select_on_focus=False, highlighter=_Underlined(self))

    def put(self, text: str, *, old: Sequence[Old] = ()) -> None:
        """Put a text in place of what stands there, with the cursor at its end; of `old` only its beginnings count."""
        self._old = ()
        self.value = clean(text[:LONGEST])[:LONGEST]
        self.cursor_position = len(self.value)
        self._old = tuple(one for one in old if one.text and self.value.startswith(one.text))

    @property
    def old(self) -> tuple[Old, ...]:
        """What was refused, or typed before, at the beginning of the line; the shortest first."""
        return self._old

    def mark(self, *, refused: bool) -> None:
        """Know that all that stands there now was refused, or was typed before."""
        shorter = tuple(one for one in self._old if one.text != self.value)
        self._old = (*shorter, Old(text=self.value, refused=refused)) if self.value else ()
        self.refresh()

    def watch_value(self, value: str) -> None:
        """Forget what was refused once it is edited."""
        if self._old:
            self._old = tuple(one for one in self._old if value.startswith(one.text))

    def replace(self, text: str, start: int, end: int) -> None:
        """Put text in place of a range, as much of it as there is room for."""
        start, end = sorted((start, end))
        room = max(0, LONGEST - len(self.value) + (end - start))
        taken = clean(text[:room])[:room]
        if len(text) > room:
            self.post_message(self.Cut(self, f"the line takes {LONGEST} characters; the rest was left out"))
        super().replace(taken, start, end)

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Select nothing by dragging: the next key would replace what was typed."""
        event.prevent_default()

    def on_click(self, event: events.Click) -> None:
        """Select nothing by two clicks."""
        event.prevent_default()

    def restricted(self) -> None:
        """Stay silent."""

    def type_in(self, text: str) -> None:
        """Put text where the cursor is, in place of what is selected."""
        self.replace(text, *self.selection)

    def action_clear_line(self) -> None:
        """Empty the line, wherever the cursor is, as whoever holds it does that."""
        self._clear()


class _Underlined(Highlighter):
    """Underlines what was refused, or typed before."""

    def __init__(self, line: TypedLine) -> None:
        self._line = line

    def highlight(self, text: Text) -> None:
        """Mark the longest beginning of it."""
        if self._line.old:
            text.stylize(self._line.get_component_rich_style("typed-line--old"), 0, len(self._line.old[-1].text))
