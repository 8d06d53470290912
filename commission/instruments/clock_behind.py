"""The computer's clocks as they stood a while ago: with them the sample logbook gets what runs while it is shown."""

from commission.base.clock import ClockMark
from commission.base.frozen import replace
from commission.instruments.system_clock import SystemClock


class ClockBehind:
    """All clocks of this computer, each the same time behind until told otherwise; they never run backwards."""

    def __init__(self) -> None:
        self.behind_s = 0.0
        """How far behind [s]; nothing is written after it grew."""

    def now(self) -> ClockMark:
        """Return the clocks at that moment."""
        mark = SystemClock().now()
        since_start_ms = mark.mono_ms if mark.boot_ms is None else min(mark.mono_ms, mark.boot_ms)
        behind_ms = min(round(self.behind_s * 1000), since_start_ms)  # no clock shows a time before its zero
        return replace(
            mark,
            wall_ms=mark.wall_ms - behind_ms,
            mono_ms=mark.mono_ms - behind_ms,
            boot_ms=None if mark.boot_ms is None else mark.boot_ms - behind_ms,
        )

    def set_behind(self, seconds: float) -> None:
        """Say how far behind [s]."""
        self.behind_s = seconds
