"""Times that a running clock shows, and how it says them."""

from commission.base.frozen import Frozen

DUE_SOON_S = 10.0
"""From this long before a reading is due the clock asks for it [s]."""


class ClockTimes(Frozen):
    """The times of a running hold, measured by the caller; the widget has no clock of its own."""

    elapsed_s: float
    """Time since the hold began [s]."""
    due_in_s: float | None = None
    """Time until the next reading is due [s]; negative where it is overdue; None where none is asked for."""
    ends_in_s: float | None = None
    """Time until the planned end [s]; negative where that is past; None where there is none."""
    settling: bool = False
    """Whether the hold is still settling."""
    what: str = "reading"
    """What is due."""


def clock_text(seconds: float) -> str:
    """Return a time as hours, minutes and seconds.

    Examples
    --------
    >>> clock_text(3725)
    '1:02:05'
    >>> clock_text(65)
    '1:05'
    """
    whole = int(abs(seconds))
    hours, rest = divmod(whole, 3600)
    minutes, secs = divmod(rest, 60)
    sign = "-" if seconds <= -1 else ""
    return f"{sign}{hours}:{minutes:02}:{secs:02}" if hours else f"{sign}{minutes}:{secs:02}"


def clock_words(times: ClockTimes) -> tuple[str, str, str]:
    """Return how long the hold has run, when a reading is due and when it ends, each in words.

    Examples
    --------
    >>> clock_words(ClockTimes(elapsed_s=605, due_in_s=-75, ends_in_s=600))
    ('running 10:05', 'reading OVERDUE by 1:15', 'ends in 10:00')
    """
    run = f"{'settling' if times.settling else 'running'} {clock_text(times.elapsed_s)}"
    due = times.due_in_s
    if due is None:
        next_one = ""
    elif due < -DUE_SOON_S:
        next_one = f"{times.what} OVERDUE by {clock_text(-due)}"
    elif due < DUE_SOON_S:
        next_one = f"{times.what} due NOW"
    else:
        next_one = f"next {times.what} in {clock_text(due)}"
    end = times.ends_in_s
    if end is None:
        return run, next_one, ""
    return run, next_one, f"ends in {clock_text(end)}" if end > 0 else f"past its planned end by {clock_text(-end)}"
