"""Three clocks on every entry, and the time that really went by between two of them.

A wall clock steps (summer time, network time, a typed correction); a monotonic clock stands still while the computer
sleeps; a boot clock does neither but starts again with the computer. Source: clock_gettime(2).
"""

from enum import StrEnum

from commission.base.frozen import Frozen

MOVED_S = 5.0
"""A wall clock that is further off than this was moved [s]; our choice: network time keeps a running clock closer, and
a restart that is bridged takes longer."""


class ClockMark(Frozen):
    """The clocks at one moment."""

    wall_ms: int
    """Milliseconds since 1970-01-01 00:00 UTC."""
    offset_min: int
    """Local time minus UTC [min]."""
    mono_ms: int
    """Clock that stands still in sleep [ms]."""
    boot_ms: int | None = None
    """Clock that counts sleep and never steps [ms]; None where the system has none."""
    boot_id: str = ""
    """Changes with each start of the computer; empty where the system has none."""


class Timing(StrEnum):
    """How an elapsed time was found."""

    BOOT_CLOCK = "boot clock"
    WALL_CLOCK = "wall clock"


class Elapsed(Frozen):
    """The time between two marks, and what happened to the clocks on the way."""

    elapsed_s: float
    """The best available elapsed time [s]."""
    timing: Timing
    """Which clock it rests on."""
    wall_step_s: float
    """How far the wall clock was moved on the way [s]; where only it counts, how far it was set back at the least."""
    restarted: bool
    """Whether the computer was restarted on the way."""

    @property
    def moved(self) -> bool:
        """Whether the wall clock was moved on the way, as far as that can be known."""
        return abs(self.wall_step_s) > MOVED_S

    @property
    def lost(self) -> bool:
        """Whether it rests on a wall clock that was certainly set back, so that it is no measure of time."""
        return self.timing is Timing.WALL_CLOCK and (self.moved or self.elapsed_s < -MOVED_S)


def elapsed_between(first: ClockMark, second: ClockMark) -> Elapsed:
    """Return the time that went by from the first mark to the second.

    Parameters
    ----------
    first, second
        Marks of the same computer.

    Returns
    -------
    Elapsed
        From the boot clock where both marks have one of the same start of the computer; else from the wall clock.

    Examples
    --------
    Ten minutes, four of them asleep, and the wall clock put back by one hour:

    >>> a = ClockMark(wall_ms=3_600_000, offset_min=60, mono_ms=0, boot_ms=0, boot_id="x")
    >>> b = ClockMark(wall_ms=600_000, offset_min=60, mono_ms=360_000, boot_ms=600_000, boot_id="x")
    >>> e = elapsed_between(a, b)
    >>> (e.elapsed_s, e.wall_step_s, e.moved, e.lost)
    (600.0, -3600.0, True, False)
    """
    wall_s = (second.wall_ms - first.wall_ms) / 1000
    restarted = first.boot_id != second.boot_id
    if restarted or first.boot_ms is None or second.boot_ms is None:
        back_s = min(0.0, wall_s - _least_s(first, second, restarted=restarted))
        return Elapsed(elapsed_s=wall_s, timing=Timing.WALL_CLOCK, wall_step_s=back_s, restarted=restarted)
    boot_s = (second.boot_ms - first.boot_ms) / 1000
    return Elapsed(elapsed_s=boot_s, timing=Timing.BOOT_CLOCK, wall_step_s=wall_s - boot_s, restarted=False)


def _least_s(first: ClockMark, second: ClockMark, *, restarted: bool) -> float:
    """Return the time that went by at the least [s]: since the restart, or as the clock that stands still in sleep."""
    if restarted:
        return (second.boot_ms if second.boot_ms is not None else second.mono_ms) / 1000
    return max(0.0, (second.mono_ms - first.mono_ms) / 1000)
