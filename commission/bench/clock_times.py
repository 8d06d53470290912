"""Times that a running clock shows."""

from dataclasses import dataclass

DUE_SOON_S = 10.0
"""From this long before a reading is due the clock asks for it [s]."""


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
    what: str = "reading"
    """What is due."""
