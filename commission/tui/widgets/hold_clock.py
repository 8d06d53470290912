"""Time on a running hold: how long it has run, when the next reading is due, and the last reading in large figures."""

from dataclasses import dataclass

from textual.containers import Horizontal


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockTimes:
    """The times of a running hold, measured by the caller; the widget has no clock of its own."""

    elapsed_s: float
    """Time since the hold began [s]."""
    due_in_s: float | None = None
    """Time until the next reading is due [s]; negative where it is overdue; None where none is asked for."""
    ends_in_s: float | None = None
    """Time until the planned end [s]; negative where that is past; None where there is none."""
    settling: bool = False
    """Whether the hold is still settling."""


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


class HoldClock(Horizontal):
    """One line of times; on a wide screen with the last reading in large figures beside it."""

    def tick(self, times: ClockTimes) -> None:
        """Show these times."""
        raise NotImplementedError

    def read(self, reading: str, *, remark: str = "") -> None:
        """Show the last reading, ready to read, such as ``497.5 mbar``."""
        raise NotImplementedError
