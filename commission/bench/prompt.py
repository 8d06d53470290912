"""What is asked for, and what is said of the answer."""

from collections.abc import Callable
from enum import StrEnum

from commission.base.frozen import Frozen


def plain_text(text: str) -> str:
    """Understand any text as itself."""
    return text.strip()


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
    understand: Callable[[str], str] = plain_text
    """Returns what was understood in one line, or raises InputError with the question or refusal in one line."""


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


STAYING = (Said.REFUSED, Said.STORED, Said.CUT, Said.CLEARED, Said.KEPT)
"""What stays beneath the line until the text is changed."""
