"""What is asked for, and what is said of the answer."""

from collections.abc import Callable
from enum import StrEnum
from typing import Required, TypedDict

from commission.base.frozen import Frozen, replace


def plain_text(text: str) -> str:
    """Understand any text as itself."""
    return text.strip()


_INSTRUCTS = ("type ", "nothing is", "such as", "a part, such as", "what ", "Enter ")


class Prompt(Frozen):
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
    words: tuple[str, ...] = ()
    """Lines that tell what else may be typed where any text is an answer; readers tell it by themselves elsewhere."""
    understand: Callable[[str], str] = plain_text
    """Returns what was understood in one line, or raises InputError with the question or refusal in one line."""


class AskedSo(TypedDict, total=False):
    """What of a prompt is said where it is asked, by the names of its fields; what it understands follows from that."""

    key: Required[str]
    ask: Required[str]
    hint: str
    initial: str
    placeholder: str
    proposal: str | None
    words: tuple[str, ...]


def looking_on(prompt: Prompt | None) -> Prompt | None:
    """Return what stands in place of a question where nothing can be recorded: Enter offers nothing.

    >>> looking_on(Prompt(key="start", ask="Enter begins.", proposal="again")).proposal is None
    True
    """
    if prompt is None:
        return None
    ask = "This window only shows what is recorded. Lists, log and report open from here."
    return replace(prompt, ask=ask, hint="", proposal=None, placeholder="nothing is stored from here")


def shown_when_empty(prompt: Prompt) -> str:
    """Return what stands in the empty line: what Enter takes, or how to type it, which never looks like an answer.

    >>> shown_when_empty(Prompt(key="x", ask="Read it.", placeholder="497.5 21.3"))
    'type, such as: 497.5 21.3'
    >>> shown_when_empty(Prompt(key="x", ask="Is it shut?", proposal="yes", placeholder="497.5"))
    'Enter = yes'
    """
    text = prompt.placeholder
    if prompt.proposal is not None:
        return text if text.startswith("Enter") else f"Enter = {prompt.proposal}"
    return f"type, such as: {text}" if text and not text.startswith(_INSTRUCTS) else text


class Said(StrEnum):
    """What kind of line stands beneath the input; the word it begins with."""

    NOTHING = ""
    UNDERSTOOD = "understood"
    PROPOSED = "Enter takes"
    NOT_YET = "not yet"
    REFUSED = "not stored"
    STORED = "stored"
    CUT = "cut"
    CLEARED = "cleared"
    KEPT = "kept"
    ASKS = "Enter asks"
    ONLY = "only"


STAYING = (Said.REFUSED, Said.STORED, Said.CUT, Said.CLEARED, Said.KEPT, Said.ONLY)
"""What stays beneath the line until the text is changed."""
