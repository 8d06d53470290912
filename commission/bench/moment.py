"""Dates and times with their offset, for lines that are read elsewhere and later."""

from datetime import datetime, timedelta, timezone


def moment(wall_ms: int, offset_min: int) -> str:
    """Return a date and time as the wall clock showed it."""
    try:
        at = datetime.fromtimestamp(wall_ms / 1000, timezone(timedelta(minutes=offset_min)))
    except (OverflowError, OSError, ValueError):
        return f"{wall_ms} ms after 1970"
    return at.strftime("%Y-%m-%d %H:%M %z")


def rfc3339(wall_ms: int, offset_min: int) -> str:
    """Return a moment to the second; one that no calendar has as it stands.

    >>> rfc3339(1_773_475_200_000, 60)
    '2026-03-14T09:00:00+01:00'
    """
    try:
        at = datetime.fromtimestamp(wall_ms // 1000, timezone(timedelta(minutes=offset_min)))
    except (OverflowError, OSError, ValueError):
        return f"{wall_ms} ms after 1970"
    return at.isoformat(timespec="seconds")
