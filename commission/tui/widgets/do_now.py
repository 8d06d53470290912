"""The one line in which everything is typed, with what was understood beneath it."""

from collections.abc import Callable
from dataclasses import dataclass

from textual.containers import Vertical
from textual.message import Message


def plain_text(text: str) -> str:
    """Understand any text as itself."""
    return text.strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Prompt:
    """What is asked for now."""

    key: str
    """Which step this is; the same key again keeps what was typed."""
    ask: str
    """The instruction, one line."""
    hint: str = ""
    """An example, or what a good answer looks like."""
    initial: str = ""
    """Text that stands in the line at first, such as a draft that was kept."""
    placeholder: str = ""
    """Shown in the empty line; made from the proposal where it is empty."""
    proposal: str | None = None
    """What Enter on the empty line enters; None where something must be typed."""
    understand: Callable[[str], str] = plain_text
    """Returns what was understood in one line, or raises InputError with the question or refusal in one line."""


class DoNowLine(Vertical):
    """Instruction, input line and the line beneath it; refuses on its own what is not understood.

    After `Entered` the parent answers with `accepted`, `refuse` or `ask`; until then a second Enter waits.
    """

    @dataclass
    class Entered(Message):
        """Something understood was entered; the line is empty again and waits for an answer."""

        line: "DoNowLine"
        """The line."""
        prompt: Prompt
        """What was asked."""
        text: str
        """What was typed, or the proposal."""
        understood: str
        """What the prompt understood."""

        @property
        def control(self) -> "DoNowLine":
            """The line."""
            return self.line

    @dataclass
    class Drafted(Message):
        """The unsent text was changed; worth keeping as a draft, not yet a record."""

        line: "DoNowLine"
        """The line."""
        key: str
        """Key of the prompt."""
        text: str
        """The text as it stands."""

        @property
        def control(self) -> "DoNowLine":
            """The line."""
            return self.line

    @property
    def prompt(self) -> Prompt | None:
        """What is asked for; None where nothing is."""
        raise NotImplementedError

    @property
    def draft(self) -> str:
        """The unsent text."""
        raise NotImplementedError

    @draft.setter
    def draft(self, text: str) -> None:
        raise NotImplementedError

    def ask(self, prompt: Prompt | None, *, idle: str = "") -> None:
        """Ask for something; the same key keeps what was typed. None with an `idle` sentence closes the line."""
        raise NotImplementedError

    def accepted(self, note: str = "") -> None:
        """Answer `Entered`: it was stored, and `note` says so."""
        raise NotImplementedError

    def refuse(self, why: str) -> None:
        """Answer `Entered`: it was not stored; the text comes back with the reason beneath it."""
        raise NotImplementedError
