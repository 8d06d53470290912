"""When a thing was done, beside when it was written down: the two differ where past work is written up later.

An entry has both: the clocks when it was written (``mark``) and, where it was done earlier, when (``observed_ms``).
"""

from commission.base.clock import ClockMark, elapsed_between
from commission.record.logged import Logged

OLDEST_S = 366 * 86_400.0
"""What was done longer ago is not written up [s]; our choice: seals set within a year, and a clock that nobody set
says 1970 or 2000."""


def done_ms(entry: Logged) -> int:
    """Return when something was done: as said, or else when it was written down [ms since 1970 UTC]."""
    if entry.observed_ms is not None:
        return entry.observed_ms
    began = getattr(entry.payload, "began_ms", None)  # a hold of a logger's file says itself when it began
    return began if isinstance(began, int) else entry.mark.wall_ms


def done_mark(entry: Logged) -> ClockMark:
    """Return the clocks when something was done: of what was written up later only a wall clock is known."""
    return entry.mark if entry.observed_ms is None else wall_mark(entry.observed_ms, entry.mark.offset_min)


def wall_mark(wall_ms: int, offset_min: int) -> ClockMark:
    """Return a moment of which only the wall clock is known."""
    return ClockMark(wall_ms=wall_ms, offset_min=offset_min, mono_ms=0)


def restarted_between(first: Logged | None, second: Logged) -> bool:
    """Return whether the computer was restarted between two entries that were written down as they were done."""
    if first is None or first.observed_ms is not None or second.observed_ms is not None:
        return False
    return elapsed_between(first.mark, second.mark).restarted
