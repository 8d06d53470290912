"""Lines that are typed or come through a pipe: waited for beside what else must be looked at."""

from __future__ import annotations

import queue
import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import TextIO

LOOK_S = 1.0
"""How often is looked round while no line comes [s]; the same as on the screens."""
AHEAD_S = 0.05
"""Lines that follow a refused one within this time were sent together with it [s]; our choice: a person is slower."""


class Lines:
    """The lines of a stream, read by a thread of its own, so that a look round and Ctrl+C are never held up.

    Parameters
    ----------
    stream
        Where they come from.
    """

    def __init__(self, stream: TextIO) -> None:
        self.typed = stream.isatty()
        """Whether a person types them; else they come through a pipe or from a file."""
        self._stream = stream
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        threading.Thread(target=self._read, name="typed lines", daemon=True).start()

    def _read(self) -> None:
        try:
            for line in self._stream:
                self._lines.put(line)
        except (OSError, ValueError):  # ValueError: closed, or bytes that are no text
            pass
        self._lines.put(None)

    def next(self, idle: Callable[[], None]) -> str | None:
        """Return the next line without its end; None where there will be none. ``idle`` is called while none comes."""
        while True:
            try:
                line = self._lines.get(timeout=LOOK_S)
            except queue.Empty:
                idle()
                continue
            return None if line is None else line.rstrip("\r\n")

    def drop(self) -> int:
        """Leave out the lines that were sent together with one that was refused, and return how many."""
        count = 0
        while True:
            try:
                line = self._lines.get(timeout=AHEAD_S)
            except queue.Empty:
                return count
            if line is None:
                self._lines.put(None)
                return count
            count += bool(line.strip())
