"""Words that open the card of what went wrong, wherever a line is typed."""

import re
from typing import NamedTuple

LEAK = "leak"
MISHAPS = (LEAK, "spill", "smoke", "burst")
"""What is written down: the same as `Mishap`, which is not loaded before the first picture."""
HELP = "help"
"""Asks what happened."""
REPAIRED = "repaired"
"""Asks what was done about a defect."""
AT_A_JOINT = "wet"
"""Means a leak, where joints are looked at."""

_LEAKING = ("leaks", "leaking", "drip", "drips", "dripping")
_CALLS = {**{word: word for word in (*MISHAPS, HELP, REPAIRED)}, **dict.fromkeys(_LEAKING, LEAK)}
_BARE = frozenset(_CALLS) - {HELP}
_SHOUTED = frozenset(_CALLS) - {REPAIRED}
_FIRST = _BARE - {REPAIRED}
_PLACE = re.compile(r"(?:(?:at|from|on|in|under|below|near|of) )+(?:the )?(.+)", re.IGNORECASE)


class Called(NamedTuple):
    """A line that calls a card."""

    word: str
    """Which: one of `Mishap`, ``help``, or ``repaired``."""
    before: str
    """What stands in the line before the word, and stays there."""
    where: str = ""
    """The place that stands behind the word; empty where none does."""
    seen: str = ""
    """The whole line with that place: what was seen, for whoever has no better words."""


def called_by(text: str, *, wet: bool = False, understood: bool = False) -> Called | None:
    """Return the card that a line calls, None where it calls none.

    A word alone always calls. Behind something half typed it calls with an exclamation mark, and without one where the
    line as a whole means nothing else: a note that ends with "a small leak" stays a note. So does one with a place
    behind the word: "drips at the pump" calls where it means nothing else. ``drips`` alone may be what was seen.

    Parameters
    ----------
    text
        The line.
    wet
        Whether ``wet`` means a leak here.
    understood
        Whether the line as a whole is understood as an answer.

    Examples
    --------
    >>> called_by("Leak!").word, called_by("497,5 smoke!").before
    ('leak', '497,5')
    >>> called_by("wet at the pump", wet=True).word
    'leak'
    >>> called_by("a small leak", understood=True) is None
    True
    >>> called_by("wet weight 500 g", wet=True) is None
    True
    >>> called_by("497,5 leak").before
    '497,5'
    >>> called_by("drips at the pump")[::2]
    ('leak', 'pump')
    """
    first, _, behind = text.strip().partition(" ")
    place = None if understood else _PLACE.fullmatch(behind.strip())
    if place and (first.casefold() in _FIRST or (wet and first.casefold() == AT_A_JOINT)):
        return Called(word=_CALLS.get(first.casefold(), LEAK), before="", where=place[1], seen=text.strip())
    if wet and not understood and first.casefold() == AT_A_JOINT and not _of_a_scale(text):
        return Called(word=LEAK, before="")
    head, _, last = text.strip().rpartition(" ")
    word = last.casefold()
    name = word.rstrip("!")
    if wet and not head and name == AT_A_JOINT:
        return Called(word=LEAK, before="")
    if word.endswith("!") and name in _SHOUTED:
        return Called(word=_CALLS[name], before=head.strip())
    if name not in _BARE or (understood and name in _LEAKING) or (head and (understood or name == REPAIRED)):
        return None
    return Called(word=_CALLS[name], before=head.strip())


def _of_a_scale(text: str) -> bool:
    """Return whether a line that begins with wet tells what something weighs."""
    return text.casefold().split()[1:2] in (["weight"], ["mass"])
