"""A day or a moment on the command line."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta

from commission.base.errors import InputError, in_words
from commission.base.frozen import Frozen
from commission.shell.quantity_type import TextType

_TYPED = re.compile(
    "[0-9]{4}-[0-9]{2}-[0-9]{2}"
    "(?P<time>[Tt ][0-9]{2}:[0-9]{2}(:[0-9]{2}([.,][0-9]+)?)?(?P<offset>[Zz]|[+-][0-9]{2}:[0-9]{2})?)?"
)
LONGEST = 60
"""Of a text that is not a date, this much is repeated [characters]."""


class At(Frozen):
    """A moment, as asked for."""

    ms: int
    """The moment [ms since 1970 UTC]."""
    offset_min: int
    """Local time minus UTC, as typed or as this computer has it on that day [min]."""


class DayType(TextType[At]):
    """A day, whose end counts, or a moment with its offset, as RFC 3339 writes them."""

    name = "DATE"

    def read(self, text: str) -> At:
        """Return the moment."""
        with in_words():
            return at_of(text.strip())


class MomentType(TextType[At]):
    """A moment with its offset; a whole day is none."""

    name = "TIME"

    def read(self, text: str) -> At:
        """Return the moment."""
        if "T" not in text.upper() and " " not in text.strip():
            raise InputError(f'"{text[:LONGEST]}" is no moment; type one such as 2026-03-14T18:30+01:00')
        with in_words():
            return at_of(text.strip())


def at_of(text: str) -> At:
    """Return the moment that a text names.

    Raises
    ------
    ValueError
        If it names none; the message says what to type.
    """
    shown = text if len(text) <= LONGEST else f"{text[:LONGEST]}..."
    found = _TYPED.fullmatch(text)
    if found is None:
        like = "a day such as 2026-03-14, or a moment such as 2026-03-14T18:30:00+01:00"
        raise ValueError(f'"{shown}" is no date; type {like}')
    if found["time"] and not found["offset"]:
        raise ValueError(f'"{shown}" does not say how far from UTC it is; add Z, or an offset such as +01:00')
    try:
        if found["time"]:
            return _marked(datetime.fromisoformat(text.upper().replace(",", ".")))
        return _end_of(date.fromisoformat(text))
    except (ValueError, OverflowError, OSError):
        raise ValueError(f'"{shown}" is on no calendar or no clock; look at its figures') from None


def _end_of(day: date) -> At:
    """Return the last millisecond of a day, as this computer's clock has it."""
    midnight = datetime(day.year, day.month, day.day) + timedelta(days=1)  # noqa: DTZ001 - made local in the next line
    return _marked(midnight.astimezone() - timedelta(milliseconds=1))


def _marked(at: datetime) -> At:
    offset = at.utcoffset()
    assert offset is not None  # both ways above give one
    return At(ms=round(at.timestamp() * 1000), offset_min=round(offset.total_seconds() / 60))
