"""Ends the process soon after it lost its terminal or its parent, or was told to end, whatever the screens are doing.

The main thread may hang for ever while it writes to a terminal that nobody reads, and then no signal handler of the
event loop runs. So a thread of its own watches. It first asks the screens to end; where they do not, it ends the
process itself. Every entry is durable before it is acknowledged and the system drops the writer's lock: nothing is
lost.
"""

import contextlib
import os
import select
import signal
import sys
import threading
import time
from collections.abc import Callable
from types import FrameType
from typing import Self

LOOK_S = 0.25
"""How often the parent is looked at [s]; a terminal and a signal are noticed at once. Our choice."""
GRACE_S = 1.0
"""How long the screens may take to end by themselves [s]; with `LOOK_S` well below two seconds. Our choice."""

HUNG_UP = 129
"""Exit status after the terminal or the parent went away: 128 and the number of SIGHUP, as shells count."""
TOLD_TO_END = 143
"""Exit status after SIGTERM: 128 and its number, as shells count."""

_STATUS = {"SIGHUP": HUNG_UP, "SIGTERM": TOLD_TO_END}


def _leave_it_to_the_thread(_number: int, _frame: FrameType | None) -> None:
    """Do nothing: the signal's number has already been written into the pipe that the thread reads."""


class Lifeline:
    """Watches terminal, parent and signals while it is entered; on systems without them it does nothing.

    Parameters
    ----------
    end
        Ends the process at once with a status; for tests.
    parent
        The process that must stay; without it, the one that is the parent now.
    """

    def __init__(self, end: Callable[[int], object] = os._exit, *, parent: int | None = None) -> None:
        self.status = 0
        """Exit status that the loss asks for; 0 while nothing was lost."""
        self.on_lost: Callable[[int], object] | None = None
        """Asks the screens to end, with the status; called once, from another thread."""
        self._end = end
        self._parent = os.getppid() if parent is None else parent
        self._terminals: tuple[int, ...] = ()
        self._pipe: tuple[int, int] | None = None
        self._before: dict[int, object] = {}
        self._thread: threading.Thread | None = None

    def __enter__(self) -> Self:
        """Begin to watch; must be called in the main thread."""
        if not hasattr(select, "poll"):
            return self
        self._terminals = tuple(number for number in (0, 2) if _is_terminal(number))
        self._pipe = os.pipe()
        for end in self._pipe:
            os.set_blocking(end, False)
        signal.set_wakeup_fd(self._pipe[1], warn_on_full_buffer=False)
        for name in _STATUS:
            number = getattr(signal, name)
            self._before[number] = signal.signal(number, _leave_it_to_the_thread)
        self._thread = threading.Thread(target=self._watch, name="lifeline", daemon=True)
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        """Stop watching; where something was lost, end the process here, past everything that could still wait."""
        if self._pipe is None or self._thread is None:
            return
        self.look()
        if self.status:
            self._end(self.status)
        signal.set_wakeup_fd(-1)
        for number, handler in self._before.items():
            signal.signal(number, handler)  # type: ignore[arg-type]  # what signal itself returned
        os.write(self._pipe[1], b"\0")
        self._thread.join()
        for end in self._pipe:
            os.close(end)
        self._pipe = None

    def look(self) -> None:
        """Look at terminal and parent now."""
        poll = select.poll()
        for number in self._terminals:
            poll.register(number, 0)
        gone = any(event & (select.POLLHUP | select.POLLERR) for _, event in poll.poll(0))
        if not self.status and (gone or os.getppid() != self._parent):
            self.status = HUNG_UP

    def _watch(self) -> None:
        """Wait for a loss; ask the screens to end, and end the process where they do not in time."""
        assert self._pipe is not None  # the thread starts after the pipe is made
        poll = select.poll()
        poll.register(self._pipe[0], select.POLLIN)
        for number in self._terminals:
            poll.register(number, 0)
        while not self.status:
            poll.poll(LOOK_S * 1000)
            told = self._told()
            if 0 in told:
                return
            self.status = next((_STATUS[name] for name in _STATUS if getattr(signal, name) in told), 0)
            self.look()
        if self.on_lost is not None:
            with contextlib.suppress(RuntimeError):  # the loop is closed already
                self.on_lost(self.status)
        time.sleep(GRACE_S)
        self._end(self.status)

    def _told(self) -> bytes:
        """Return the numbers of the signals that came; 0 among them means that the watch is over."""
        assert self._pipe is not None  # as in `_watch`
        with contextlib.suppress(BlockingIOError):
            return os.read(self._pipe[0], 512)
        return b""


def _is_terminal(number: int) -> bool:
    with contextlib.suppress(OSError):
        return os.isatty(number)
    return False


def stay_when_in_the_background() -> None:
    """Let the terminal be restored from behind another program: the system would stop the process for that."""
    if sys.platform != "win32":
        signal.signal(signal.SIGTTOU, signal.SIG_IGN)
