"""Lines that come by themselves, read in a thread, each with the clocks at its arrival; a screen takes them in turn."""

from __future__ import annotations

import threading
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING

from commission.base.errors import CommissionError
from commission.base.frozen import Frozen

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.base.clock import ClockMark
    from commission.record.machine.instrument import Instrument


class Arrived(Frozen):
    """A line, or what is told of where it comes from."""

    mark: ClockMark
    """The clocks when it came."""
    line: bytes = b""
    """The line with its end; empty where something is told."""
    told: str = ""
    """What is told, such as that the port is gone."""
    ended: bool = False
    """Whether no more lines come."""


class Stopped(Exception):
    """Nobody wants more lines."""


class Reader:
    """What the source of lines is given by the thread that reads it."""

    def __init__(self, put: Callable[[str], None]) -> None:
        self.tell = put
        """Says what becomes of the source."""
        self.over = threading.Event()
        """Set once nobody wants more lines."""

    def wait(self, seconds: float) -> None:
        """Wait; raises Stopped where nobody wants more."""
        if self.over.wait(seconds):
            raise Stopped

    def until_over(self, lines: Iterator[str]) -> Iterator[str]:
        """Yield lines as long as somebody wants them."""
        for line in lines:
            if self.over.is_set():
                raise Stopped
            yield line


class LiveFeed:
    """Reads a source of lines in a thread until it is stopped.

    Parameters
    ----------
    name
        What it is called on the screen.
    source
        Yields the lines, the header row first.
    now
        The clocks.
    """

    def __init__(self, name: str, source: Callable[[Reader], Iterator[bytes]], now: Callable[[], ClockMark]) -> None:
        self.name = name
        self._now = now
        self._came: SimpleQueue[Arrived] = SimpleQueue()
        self._reader = Reader(lambda told: self._came.put(Arrived(mark=now(), told=told)))
        threading.Thread(target=self._read, args=(source,), name="live", daemon=True).start()

    def _read(self, source: Callable[[Reader], Iterator[bytes]]) -> None:
        told = "it ended"
        try:
            for line in source(self._reader):
                self._came.put(Arrived(mark=self._now(), line=line))
        except Stopped:
            return
        except CommissionError as error:
            told = str(error)
        self._came.put(Arrived(mark=self._now(), told=told, ended=True))

    def take(self) -> Iterator[Arrived]:
        """Yield what came since, in order; never waits."""
        while True:
            try:
                yield self._came.get_nowait()
            except Empty:
                return

    def stop(self) -> None:
        """Let the source go; the thread ends within its next wait."""
        self._reader.over.set()


def gauge_lines(instrument: Instrument, heading: str, every_s: float) -> Callable[[Reader], Iterator[bytes]]:
    """Return a source: what an instrument prints on its port, as the lines of a table.

    Parameters
    ----------
    instrument
        With a port and a pattern.
    heading
        How its own number is headed, such as ``gauge [mbar]``.
    every_s
        Least time between two rows [s].
    """
    from commission.base.line_pattern import read_port
    from commission.bench.live_rows import live_rows
    from commission.bootstrap import serial_lines

    def source(reader: Reader) -> Iterator[bytes]:
        port, speed = read_port(instrument.port)
        lines = reader.until_over(serial_lines(port, speed, reader.tell, sleep=reader.wait))
        for row in live_rows(instrument, heading, reader.tell, lines, every_s=every_s):
            yield f"{','.join(row)}\n".encode()

    return source
