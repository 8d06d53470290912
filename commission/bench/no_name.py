"""What is typed among the builds and is no name of one: a word or a value that is meant for a build."""

import re

from commission.base.errors import InputError
from commission.base.text import clip

WORDS = (
    *("abort", "extend", "note", "read", "reading", "remove", "retest", "stage", "undo", "units", "withdraw"),
    *("again", "found", "plan", "search", "visit", "yes", "no", "?"),
)
"""Words that name no build, alone or before something else; our choice: those of a stage that a hand is used to."""

OF_THE_PROGRAM = frozenset({"read", "known", "note", "undo", "end", "done", "again", "next"})
"""Answers to other questions: one that is typed too often is never taken as the beginning of a name."""

UNITS = (
    *("mbar", "bar", "pa", "kpa", "hpa", "mpa", "psi", "inhg", "mmhg", "torr", "atm"),
    *("ml", "l", "cl", "dl", "oz", "gal", "g", "kg", "mm", "cm", "m", "in", "s", "min", "h"),
    *("c", "f", "k", "degc", "degf", "°c", "°f", "v", "mv", "a", "ma", "w", "rpm", "%"),
)
"""Units in the ways in which they are typed most often; our choice."""

_NUMBER = re.compile(r"[+\-−±]?[0-9]*[.,:]?[0-9]+")
_GLUED = re.compile(r"([+\-−±]?[0-9]*[.,]?[0-9]+)([^0-9\s]+)")


def refuse_no_name(text: str) -> None:
    """Refuse a text that was meant for a build that is not open, so that it becomes no build of that name.

    Raises
    ------
    InputError
        If it begins with a word of a stage, or holds nothing but numbers and units; a single letter may be a name.

    Examples
    --------
    >>> refuse_no_name("North tower 2")
    >>> refuse_no_name("497.5 mbar")
    Traceback (most recent call last):
    ...
    commission.base.errors.InputError: "497.5 mbar" is a value, no name. Open a build first, then type it there
    """
    words = _GLUED.sub(r"\1 \2", text).casefold().split()
    if words and words[0] in WORDS:
        raise InputError(f"{clip(text)} is for an open build, no name. Open the build first, then type it there")
    if (
        words
        and (len(words[0]) > 1 or words[0].isdecimal())
        and all(word in UNITS or _NUMBER.fullmatch(word) for word in words)
    ):
        raise InputError(f"{clip(text)} is a value, no name. Open a build first, then type it there")
