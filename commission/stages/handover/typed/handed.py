"""To whom a machine is handed over, and on which day, as it is typed."""

import re
from datetime import date, datetime, time, timedelta, timezone

from commission.base.clock import ClockMark
from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.text import clip
from commission.bench.figures import local_time

EXAMPLE = "Mara Lind"
_ON = re.compile(r"^(.*?)\s+on\s+(\S*[0-9]\S*)$", re.IGNORECASE)
_MOMENT = re.compile(r"\b[0-9]{4}-[0-9]{1,2}\b|\b[0-9]{1,2}:[0-9]{2}\b|\b[0-9]{1,2}[./][0-9]{1,2}[./][0-9]{2,4}\b")
"""What looks like a day or a time, which no name holds."""


class Handed(Frozen):
    """A handover as it was typed."""

    to: str
    """To whom."""
    day: str = ""
    """The day, ISO 8601; empty: now."""
    observed_ms: int | None = None
    """That day's noon [ms since 1970 UTC]; None: now."""


def read_handed(text: str, now: ClockMark) -> Handed:
    """Return to whom, and on which day, a line such as ``Mara Lind on 2026-03-14`` says.

    Raises
    ------
    InputError
        If no name is typed, or a day or time in it, or the day is on no calendar or after today.

    Examples
    --------
    >>> read_handed("own use", ClockMark(wall_ms=0, offset_min=0, mono_ms=0)).to
    'own use'
    """
    body = " ".join(text.split())
    found = _ON.match(body)
    to, day = (body, "") if found is None else (found[1], found[2])
    if found is None and _MOMENT.search(to):
        raise InputError(f"{clip(to)} holds a day or a time: a day goes last, without a time: {EXAMPLE} on 2026-03-14")
    to = to.removeprefix("to ")
    if not to:
        raise InputError(f"type to whom it is handed over: a name such as {EXAMPLE}, or own use")
    return Handed(to=to) if not day else _on_a_day(to, day, now)


def _on_a_day(to: str, day: str, now: ClockMark) -> Handed:
    try:
        typed = date.fromisoformat(day)
    except ValueError:
        raise InputError(f"{clip(day)} is no day; type it as 2026-03-14") from None
    today = local_time(now.wall_ms, now.offset_min).date()
    if typed > today:
        raise InputError(f"{day} lies after today; leave it out, or type the day on which it was")
    if typed == today:
        return Handed(to=to)
    noon = datetime.combine(typed, time(12), timezone(timedelta(minutes=now.offset_min)))
    return Handed(to=to, day=typed.isoformat(), observed_ms=round(noon.timestamp() * 1000))
