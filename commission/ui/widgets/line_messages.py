"""What the line tells: something was entered, it was answered, a danger word, another number of rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from textual.message import Message

from commission.bench.prompt import Prompt


class Line(Protocol):
    """The line, as far as whoever answers it knows it."""

    @property
    def rest(self) -> list[str]:
        """What stands in it, and what waits behind that."""

    @rest.setter
    def rest(self, lines: Sequence[str]) -> None:
        """Put other lines there."""

    def accepted(self, note: str = "") -> None:
        """Answer that it was done."""

    def refuse(self, why: str) -> None:
        """Answer that it was not done."""

    def go_on(self, note: str = "") -> None:
        """Answer a danger word."""

    def kept(self, note: str) -> None:
        """Answer that something was chosen, which is no entry."""


@dataclass
class Entered(Message):
    """Something understood was entered; the line is empty again and waits for an answer."""

    line: Line
    """The line."""
    prompt: Prompt
    """What was asked."""
    text: str
    """What was typed, or the proposal."""
    understood: str
    """What the prompt understood."""


@dataclass
class Answered(Message):
    """`Entered` was answered: the next key may come."""

    line: Line
    """The line."""


@dataclass
class WentWrong(Message):
    """A word was entered that opens the card of what went wrong; the line waits until `go_on`."""

    line: Line
    """The line; what stood before the word still stands in it."""
    word: str
    """Which card."""
    where: str = ""
    """The place that stands behind the word; empty where none does."""
    seen: str = ""
    """What stood in the line with that place."""


@dataclass
class Resized(Message):
    """The texts around the line were changed and may need another number of rows."""

    line: Line
    """The line."""
