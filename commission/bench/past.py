"""Past work typed at the bench: a line behind ``at`` or ``began`` and a time was done then, and is written up now."""

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.text import clip
from commission.bench.ask import Question
from commission.bench.deed import Deed
from commission.bench.figures import clock_time, local_time
from commission.bench.words_here import words_here

if TYPE_CHECKING:
    from commission.base.clock import ClockMark
    from commission.record.logbook import Logbook

BEGAN = "began"
"""Stands before the time at which work began, which may then be older than the record of the build."""
_LINE = re.compile(r"(at|began)\s+((?:\d{4}-\d\d-\d\d[ Tt]+)?\d{1,2}[:.h]\d\d)\s+(\S.*)", re.IGNORECASE | re.DOTALL)
_ALONE = re.compile(r"(at|began)\s+((?:\d{4}-\d\d-\d\d[ Tt]+)?\d{1,2}[:.h]\d\d)", re.IGNORECASE)
_WHEN = re.compile(r"(?:(\d{4}-\d\d-\d\d)[ Tt]+)?([01]?[0-9]|2[0-3])[:.h]([0-5][0-9])")


def seen_at(text: str, now: "ClockMark") -> int:
    """Return the moment that ``14:05`` or ``2026-03-14 14:05`` means by the bench's clock [ms since 1970 UTC].

    Without a day it is the last time that the clock showed it.

    Raises
    ------
    InputError
        If it is no time of day, or on no calendar.
    """
    found = _WHEN.fullmatch(text.strip())
    if found is None:
        raise InputError(f"{clip(text)} is no time of day; type such as at 14:05 497.5")
    here = local_time(now.wall_ms, now.offset_min)
    moment = here.replace(hour=int(found[2]), minute=int(found[3]), second=0, microsecond=0)
    if found[1]:
        try:
            day = datetime.fromisoformat(found[1])
        except ValueError:
            raise InputError(f"{clip(found[1])} is on no calendar; type such as 2026-03-14 14:05") from None
        moment = moment.replace(year=day.year, month=day.month, day=day.day)
    elif moment > here:
        moment -= timedelta(days=1)
    return round(moment.timestamp() * 1000)


def is_to_come(text: str, seen_ms: int, now: "ClockMark") -> bool:
    """Return whether a time of day without a day, taken as yesterday's, is one of today that has not come yet."""
    tomorrow = local_time(seen_ms, now.offset_min) + timedelta(days=1)
    return "-" not in text and tomorrow.date() == local_time(now.wall_ms, now.offset_min).date()


class PastLines:
    """Takes lines that stand behind a time: what they do was done then, and is written up now.

    Where such a line only asks something back, the answer to that is of the same time, until an entry is stored.
    A line that begins with ``at`` and means something of its own stays that; where any text is an answer, too.

    Parameters
    ----------
    book
        The logbook.
    """

    def __init__(self, book: "Logbook") -> None:
        self._book = book
        self._kept: tuple[int, bool] | None = None

    def leave(self) -> None:
        """Forget the time of a line that asked something back."""
        self._kept = None

    def over(self, question: Question | None) -> Question | None:
        """Return a question whose answers may stand behind a time."""
        if question is None:
            return None
        asked, prompt = question.deed, question.prompt

        def mine(text: str) -> bool:
            typed = text.strip()
            return any((self._kept is not None, _LINE.fullmatch(typed), _ALONE.fullmatch(typed)))

        def deed(text: str) -> Deed:
            found = _LINE.fullmatch(text.strip())
            if found is not None and "at" not in words_here(prompt):
                now = self._book.clock.now()
                return self._then(asked, found[3], seen_at(found[2], now), begins=found[1].casefold() == BEGAN)
            if _ALONE.fullmatch(text.strip()) and "at" not in words_here(prompt):
                raise InputError(f"{clip(text)} stands before what was done then: type both on one line")
            return asked(text) if self._kept is None else self._then(asked, text, self._kept[0], begins=self._kept[1])

        def understand(text: str) -> str:
            return deed(text).told if mine(text) else prompt.understand(text)

        return Question(prompt=replace(prompt, understand=understand), deed=deed)

    def _then(self, asked: Callable[[str], Deed], text: str, at_ms: int, *, begins: bool) -> Deed:
        """Return what a line did at a moment; raises what it raises, or NotAllowed where that cannot be its time."""
        book = self._book
        with book.past.written_up(at_ms, begins=begins):
            then = asked(text)

        def do() -> str | None:
            before = book.stored
            with book.past.written_up(at_ms, begins=begins):
                done = then.do()
            self._kept = (at_ms, begins) if book.stored == before else None
            return done

        when = clock_time(book.clock.now(), at_ms, today=book.clock.now())
        return replace(then, told=f"{BEGAN if begins else 'done'} {when} · {then.told}", do=do)
