"""What is sent to a real terminal in one piece is stored as if it were typed slowly, many times over."""

import os
import sys
from pathlib import Path

import pytest

from commission.record.entries import BuildOpened, NoteAdded, OperatorNamed
from commission.storage.opening import open_log
from tests.faults.children import sit_at_the_screens
from tests.faults.windows import Window, read_until, windows

pytestmark = [
    pytest.mark.faults,
    pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX"),
]
__all__ = ["windows"]

MANY = 5
"""Processes that are typed into at once."""
LINES = b"Ada\rNorth tower\rradiator 360\r\x1bOS"
"""An operator, a build, the first words of a part, and F4: each goes to another question or screen."""


def test_a_burst_is_as_good_as_slow_typing(tmp_path: Path, windows: list[Window]) -> None:
    windows.extend(Window(tmp_path / f"{number}.logbook", sit_at_the_screens) for number in range(MANY))
    read_until(windows, b"Who works")
    for window in windows:
        window.write(LINES)
    read_until(windows, b"to withdraw it")
    for window in windows:
        window.write(b"note one\rwithdraw 999\rnote two\rnote three\r")
    read_until(windows, b"2 more typed lines")
    for window in windows:
        os.close(window.slave)
        log = open_log(window.path, holder="tests")
        stored = [one.payload for one in log.entries()]
        assert [one for one in stored if isinstance(one, OperatorNamed)] == [OperatorNamed(name="Ada")]
        assert [one.name for one in stored if isinstance(one, BuildOpened)] == ["North tower"]
        assert [one for one in stored if isinstance(one, NoteAdded)] == [NoteAdded(text="one")]
        log.close()


def test_what_is_sent_before_the_first_picture_stands_reaches_the_builds(tmp_path: Path, windows: list[Window]) -> None:
    windows.extend(Window(tmp_path / f"{number}.logbook", sit_at_the_screens) for number in range(MANY))
    for window in windows:
        window.write(b"Ada\rNor")
    read_until(windows, b'understood: a new build, "Nor"')
    for window in windows:
        os.close(window.slave)
