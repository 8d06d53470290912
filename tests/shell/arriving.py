"""Rows that arrive when they say: a clock wound by hand goes with the lines that a command reads."""

import io
import re
from datetime import datetime

import pytest

from commission.instruments.system_clock import SystemClock
from tests.fakes import HandClock
from tests.shell import running

SECONDS = {"s": 1, "min": 60, "h": 3600}
_ELAPSED = re.compile(rb"elapsed \[(s|min|h)\]")


class Arriving:
    """A clock, and when the hold on it began."""

    def __init__(self) -> None:
        self.clock = HandClock()
        self.began_ms: float | None = None
        self.unit_s = 1

    def comes(self, line: bytes) -> None:
        """Wind the clock to the time in the first cell of a line; lines without one arrive at once."""
        if (found := _ELAPSED.match(line)) is not None:
            self.unit_s = SECONDS[found[1].decode()]
        cell = line.partition(b",")[0].partition(b";")[0].decode("utf-8", "replace").strip()
        try:
            at_s = self.unit_s * float(cell)
        except ValueError:
            try:
                at_s = datetime.fromisoformat(cell).timestamp()
            except ValueError:
                return
        if self.began_ms is None:
            self.began_ms = self.clock.wall_ms - 1000 * at_s
        self.clock.run(max(0.0, (self.began_ms + 1000 * at_s - self.clock.wall_ms) / 1000))


class _Lines(io.BytesIO):
    def __init__(self, data: bytes, arriving: Arriving) -> None:
        super().__init__(data)
        self._arriving = arriving

    def readline(self, size: int | None = -1, /) -> bytes:
        line = super().readline(size)
        self._arriving.comes(line)
        return line


@pytest.fixture
def arriving(monkeypatch: pytest.MonkeyPatch) -> Arriving:
    """Give every command that is called within this process such a clock and such an input."""
    found = Arriving()
    monkeypatch.setattr(SystemClock, "now", lambda _self: found.clock.now())
    monkeypatch.setattr(running, "standard_input", lambda data: _Lines(data, found))
    return found
