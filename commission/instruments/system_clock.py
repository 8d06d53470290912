"""The computer's own clocks, read together."""

import time
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from commission.base.clock import ClockMark

BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
"""Where Linux tells which start of the computer this is (random(4))."""


class SystemClock:
    """Wall, monotonic and boot clock of this computer; the boot clock is None where the system has none."""

    def now(self) -> ClockMark:
        """Return the clocks at this moment."""
        boot_clock = getattr(time, "CLOCK_BOOTTIME", None)
        wall = time.time()
        offset = datetime.fromtimestamp(wall, UTC).astimezone().utcoffset()
        return ClockMark(
            wall_ms=int(wall * 1000),
            offset_min=0 if offset is None else round(offset.total_seconds() / 60),
            mono_ms=time.monotonic_ns() // 1_000_000,
            boot_ms=None if boot_clock is None else time.clock_gettime_ns(boot_clock) // 1_000_000,
            boot_id=_boot_id(),
        )


@cache
def _boot_id() -> str:
    try:
        return BOOT_ID.read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError):
        return ""
