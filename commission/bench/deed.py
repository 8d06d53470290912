"""What a typed line would do: told first, done after."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen

if TYPE_CHECKING:
    from commission.record.logged import Logged


def _nothing() -> None:
    return None


class Deed(Frozen):
    """A line as it was understood, and what it does."""

    told: str
    """The line as understood, ready to read."""
    do: Callable[[], str | None] = _nothing
    """Does it and returns what was done in one line; None where there is nothing to say."""
    go: str = ""
    """Where to go after it: the name of a screen, or empty to stay."""
    calls: str = ""
    """The card of what went wrong that opens after it, such as ``leak``; empty for none."""
    at: str = ""
    """Where that was, if it is known."""
    seen: str = ""
    """What was seen there, if it was typed."""

    def done(self) -> str:
        """Do it and return what was done in one line; empty where there is nothing to say."""
        return self.do() or ""


def said(told: str, do: Callable[[], object], *, answer: str = "") -> Deed:
    """Return a deed that answers, once it is done, with these words; with what was told of it where there are none."""

    def done() -> str:
        do()
        return answer or told

    return Deed(told=told, do=done)


def numbered(told: str, do: "Callable[[], Logged]", *, answer: str = "") -> Deed:
    """Return a deed that stores an entry, and answers with its number before the words of `said`."""
    return Deed(told=told, do=lambda: f"entry {do().seq} · {answer or told}")
