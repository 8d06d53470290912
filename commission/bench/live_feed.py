"""Lines that come by themselves, read in a thread, each with the clocks at its arrival; a screen takes them in turn."""

from __future__ import annotations

import threading
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING

from commission.base.errors import CommissionError, InputError
from commission.base.frozen import Frozen
from commission.bench.deed import Deed

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


class LiveRows:
    """Takes what comes by itself into what goes on, each row stored at the time of its arrival."""

    def __init__(self) -> None:
        self.told = ""
        """What was told last of the source or of a row; empty where all is well."""
        self._feed: LiveFeed | None = None

    @property
    def on(self) -> bool:
        """Whether anything is read by itself."""
        return self._feed is not None

    def ending(self, told: str, nothing: str) -> Deed:
        """Return what ending it does; raises with ``nothing`` where nothing is read."""
        if not self.on:
            raise InputError(nothing)
        return Deed(told=told, do=self.ended)

    def ended(self) -> str:
        """End it, and return what is to be typed then."""
        self.end()
        return "type the readings"

    def end(self) -> None:
        """Let the source go."""
        if self._feed is not None:
            self._feed.stop()
        self._feed = None

    def take(self) -> bool:
        """Store what came; return whether there is anything new to show."""
        feed, new = self._feed, False
        for arrived in () if feed is None else feed.take():
            new = True
            if arrived.told:
                self.told = arrived.told
            else:
                self.store(arrived)
            if arrived.ended:
                self.end()
        return new

    def store(self, arrived: Arrived) -> None:
        """Store a row, or say why it is none; the header row comes first."""
        raise NotImplementedError

    def remark(self) -> str:
        """Return how it stands, in a sentence; empty where nothing is read and nothing is told."""
        if self._feed is None:
            return self.told and f"Read no longer: {self.told}."
        return self.standing(self._feed.name)

    def standing(self, name: str) -> str:
        """Return how it stands while it is read, in a sentence."""
        raise NotImplementedError
