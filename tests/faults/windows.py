"""Terminals with the screens in them, each in a process of its own."""

import contextlib
import os
import selectors
import signal
import time
from collections.abc import Callable, Iterable, Iterator
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path

import pyte
import pytest

from tests.faults.children import start
from tests.surroundings import PATIENCE_S


class Window:
    """A terminal with the screens in it."""

    def __init__(self, path: Path, work: Callable[..., None]) -> None:
        self.path = path
        self.master, slave = os.openpty()
        self.process: BaseProcess
        self.pipe: Connection
        self.process, self.pipe = start(work, os.ttyname(slave), path)
        self.pid = self.pipe.recv()
        self.slave = slave  # kept open until the child has it, or the master would hang up
        self.shown = b""
        self._screen = pyte.Screen(80, 24)
        self._stream = pyte.ByteStream(self._screen)

    def read(self) -> None:
        """Take what is shown now."""
        new = os.read(self.master, 1 << 16)
        self.shown += new
        self._stream.feed(new)

    def text(self) -> str:
        """What stands on the screen, as one line."""
        return " ".join(" ".join(self._screen.display).replace("┃", " ").split())

    def write(self, keys: bytes) -> None:
        os.write(self.master, keys)

    def close(self) -> None:
        if self.master >= 0:
            os.close(self.master)
            self.master = -1


@pytest.fixture
def windows(tmp_path: Path) -> Iterator[list[Window]]:
    made: list[Window] = []
    yield made
    for window in made:
        window.close()
        with contextlib.suppress(ProcessLookupError):
            os.kill(window.pid, signal.SIGKILL)
        window.process.kill()
        window.process.join()


def read_until(windows: Iterable[Window], text: bytes) -> None:
    """Read what is shown in all windows until each has shown the text, or sent those bytes."""
    waiting = selectors.DefaultSelector()
    for window in windows:
        waiting.register(window.master, selectors.EVENT_READ, window)
    last = time.monotonic() + PATIENCE_S
    while waiting.get_map():
        missing = [key.data.text() for key in waiting.get_map().values()]
        assert time.monotonic() < last, f"{text!r} was not shown in {len(missing)} windows, but: {missing[0]}"
        for key, _ in waiting.select(0.5):
            key.data.read()
            if text in key.data.shown or text.decode() in key.data.text():
                waiting.unregister(key.fileobj)
    waiting.close()
