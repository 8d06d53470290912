"""A window that is closed while somebody types leaves no process behind that holds the logbook, and loses no entry.

Real processes, each on a pseudo-terminal of its own; what ends them is done to many at once.
"""

import os
import signal
import sys
import time
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from commission.record.entries import OperatorNamed
from commission.ui.lifeline import GRACE_S, HUNG_UP, LOOK_S, TOLD_TO_END
from tests.faults.children import have_a_child_at_the_screens, sit_at_the_screens
from tests.faults.windows import Window, read_until, windows
from tests.registered import open_log

pytestmark = [
    pytest.mark.faults,
    pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX"),
]
__all__ = ["windows"]

MANY = 5
"""Processes that lose their terminal or parent in each way: one that stays in six of ten shows itself in 99 of 100."""
END_S = 60.0
"""How long it may take to end one [s]; quiet, it takes less than two seconds."""


def opened(windows: list[Window], folder: Path, work: Callable[..., None] = sit_at_the_screens) -> None:
    """Open many windows and name an operator in each: that entry is acknowledged on the screen."""
    windows.extend(Window(folder / f"{number}.logbook", work) for number in range(MANY))
    read_until(windows, b"Who works")
    for window in windows:
        os.close(window.slave)
        window.write(b"Ada\r")
    read_until(windows, b"works from now on")


def type_on(windows: Iterable[Window], seconds: float = 0.0) -> None:
    """Type into all windows without reading what they show: with enough of it their output is blocked."""
    end = time.monotonic() + seconds
    while True:
        for window in windows:
            window.write(b"North\x1b[17~")  # and F6: all of the screen is drawn again
        if time.monotonic() >= end:
            return
        time.sleep(0.05)


def all_end(windows: list[Window], status: int | None) -> None:
    """Each process ends, with the status; its logbook is free again and has what was acknowledged."""
    last = time.monotonic() + END_S
    for window in windows:
        assert window.pipe.poll(max(0.0, last - time.monotonic())), f"process {window.pid} lives on"
        with pytest.raises(EOFError):  # its end of the pipe was closed by the end of the process
            window.pipe.recv()
        if status is not None:
            window.process.join()
            assert window.process.exitcode == status
        log = open_log(window.path, holder="tests")
        assert log.read_only_because == ""
        assert OperatorNamed(name="Ada") in [entry.payload for entry in log.entries()]
        assert log.verify() == []
        log.close()


def kill(windows: Iterable[Window], number: int) -> None:
    for window in windows:
        os.kill(window.pid, number)


BLOCKED_S = 1.5
"""Typing for so long without reading fills every buffer between the screens and the terminal [s]."""


@pytest.mark.parametrize("typing_s", [0.0, BLOCKED_S])
def test_it_ends_when_the_window_is_closed_while_somebody_types(
    typing_s: float, tmp_path: Path, windows: list[Window]
) -> None:
    opened(windows, tmp_path)
    type_on(windows, typing_s)
    for window in windows:
        window.close()
    all_end(windows, HUNG_UP)


@pytest.mark.parametrize(("number", "status"), [(signal.SIGHUP, HUNG_UP), (signal.SIGTERM, TOLD_TO_END)])
def test_it_ends_when_told_so_even_while_nobody_reads_what_it_shows(
    number: int, status: int, tmp_path: Path, windows: list[Window]
) -> None:
    opened(windows, tmp_path)
    type_on(windows, BLOCKED_S)
    kill(windows, number)
    all_end(windows, status)


def test_it_ends_when_its_parent_is_killed(tmp_path: Path, windows: list[Window]) -> None:
    opened(windows, tmp_path, have_a_child_at_the_screens)
    type_on(windows)
    for window in windows:
        window.process.kill()
    all_end(windows, None)


def test_told_to_end_in_a_window_that_is_read_it_leaves_the_window_as_it_was(
    tmp_path: Path, windows: list[Window]
) -> None:
    opened(windows, tmp_path)
    kill(windows, signal.SIGTERM)
    read_until(windows, b"\x1b[?1049l")
    all_end(windows, TOLD_TO_END)


def test_what_the_screens_may_take_is_below_two_seconds() -> None:
    assert LOOK_S + GRACE_S <= 1.5
