"""An input line that no paste and no key can hurt."""

from collections.abc import Callable
from dataclasses import dataclass

from textual import events
from textual.binding import Binding
from textual.geometry import Size
from textual.message import Message
from textual.reactive import Reactive
from textual.widgets import Input

from commission.base.text import clean

LONGEST = 500
"""Characters that the line takes."""


class TypedLine(Input):
    """Free text of bounded length; control characters become visible, and the bell stays silent.

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

    BINDINGS = [  # noqa: RUF012 - Textual's word
        Binding("ctrl+u", "clear_line", "Clear", key_display="Ctrl+U"),
    ]

    virtual_size = Reactive(Size(0, 0))
    """How much there is to scroll: it changes with each key, and nothing is laid out again for that."""

    def __init__(self, clear: Callable[[], None]) -> None:
        self._clear = clear
        super().__init__(max_length=LONGEST, compact=True, select_on_focus=False)

    def put(self, text: str) -> None:
        """Put a text into the line in place of what stands there, with the cursor at its end."""
        self.value = clean(text[:LONGEST])[:LONGEST]
        self.cursor_position = len(self.value)

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
