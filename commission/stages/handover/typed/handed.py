"""To whom a machine is handed over, and on which day, as it is typed."""

import re
from datetime import date, datetime, time, timedelta, timezone

from commission.base.clock import ClockMark
from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.text import clip
from commission.bench.figures import local_time
from commission.bench.past import seen_at

EXAMPLE = "Mara Lind"
_TO = re.compile(r"^to(?:[:\s]+|$)")
"""The word that the question ends in, before the name; in small letters alone: To is a family name, too."""
_ON = re.compile(
    r"^(.*?)(?:[\s,]+on\s+([^\s,]*[0-9]\S*)|[\s,]+([0-9]{4}-[0-9]{2}-[0-9]{2}))"
    r"(?:(?:[\s,]+(?:at\s+)?|(?<=[0-9])T)([0-9]{1,2}[:.h][0-9]{2}))?$",
    re.IGNORECASE,
)
"""A day behind a name, with the word on or without it, and the time behind that."""
_MOMENT = re.compile(r"\b[0-9]{4}-[0-9]{1,2}\b|\b[0-9]{1,2}:[0-9]{2}\b|\b[0-9]{1,2}[./][0-9]{1,2}[./][0-9]{2,4}\b")
"""What looks like a day or a time, which no name holds."""


class Handed(Frozen):
    """A handover as it was typed."""

    to: str
    """To whom."""
    day: str = ""
    """The day, ISO 8601, with the time where one was typed; empty: now."""
    observed_ms: int | None = None
    """That time, or that day's noon [ms since 1970 UTC]; None: now."""


def read_handed(text: str, now: ClockMark) -> Handed:
    """Return to whom, and when, a line such as ``Mara Lind on 2026-03-14 15:00`` says.

    Raises
    ------
    InputError
        If no name is typed, or a day or time in it, or the day is on no calendar, or lies ahead.

    Examples
    --------
    >>> read_handed("to own use", ClockMark(wall_ms=0, offset_min=0, mono_ms=0)).to
    'own use'
    """
    body = _TO.sub("", " ".join(text.split()))
    found = _ON.match(body)
    to, day, clock = (body, "", "") if found is None else (found[1], found[2] or found[3], found[4] or "")
    if _MOMENT.search(to):
        raise InputError(f"{clip(to)} holds a day or a time: that goes last, such as {EXAMPLE} on 2026-03-14 15:00")
    if not to:
        raise InputError(f"type to whom it is handed over: a name such as {EXAMPLE}, or own use")
    return Handed(to=to) if not day else _on_a_day(to, day, clock, now)


def _on_a_day(to: str, day: str, clock: str, now: ClockMark) -> Handed:
    try:
        typed = date.fromisoformat(day)
    except ValueError:
        raise InputError(f"{clip(day)} is no day; type it as 2026-03-14") from None
    today = local_time(now.wall_ms, now.offset_min).date()
    if typed > today:
        raise InputError(f"{day} lies after today; leave it out, or type the day on which it was")
    if clock:
        at_ms = seen_at(f"{typed.isoformat()} {clock}", now)
        if at_ms > now.wall_ms:
            raise InputError(f"{day} {clock} lies ahead; leave the time out, or type when it was")
        return Handed(to=to, day=f"{typed.isoformat()} {clock}", observed_ms=at_ms)
    if typed == today:
        return Handed(to=to)
    noon = datetime.combine(typed, time(12), timezone(timedelta(minutes=now.offset_min)))
    return Handed(to=to, day=typed.isoformat(), observed_ms=round(noon.timestamp() * 1000))
