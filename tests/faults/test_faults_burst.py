"""What is sent to a real terminal in one piece is stored as if it were typed slowly, many times over."""

import os
import string
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from commission.procedure.model import When
from commission.record.entries import BuildOpened, NoteAdded, OperatorNamed
from commission.record.logbook import Logbook
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from tests.fakes import HandClock
from tests.faults.children import sit_at_the_screens
from tests.faults.windows import Window, read_until, windows
from tests.holds import ready_build, start_hold
from tests.power_builds import plugged, powered_build
from tests.registered import open_log, open_logbook
from tests.wet_builds import answer, pour, pouring_build

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


KEYS = string.ascii_letters
"""52 keys."""


def hold(book: Logbook, clock: HandClock) -> dict[str, str]:
    """Begin a hold; return five lines for it, and how each stands in the record."""
    start_hold(book, ready_build(book))
    return {f"{gauge} 21": f"typed='{gauge}'" for gauge in ("500,3", "500,2", "500,1", "500", "499,9")}


def fill(book: Logbook, clock: HandClock) -> dict[str, str]:
    """Begin a fill; return five lines for it, and how each stands in the record."""
    pour(book, pouring_build(book, clock), 100)
    return {f"{amount} mL": f"typed='{amount} mL'" for amount in (101, 102, 103, 104, 105)}


def sweep(book: Logbook, clock: HandClock) -> dict[str, str]:
    """Begin a sweep; return five lines for it, and how each stands in the record."""
    build = powered_build(book, clock)
    plugged(book, build)
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    book.work(FanHeaders).sweeps.begin_sweep(build, book.build(build).plugged.chains[-1].chain_id)
    return {f"{rpm} rpm": f"rpm={rpm}.0" for rpm in (1498, 1258, 985, 842, 695)}


def as_stored(path: Path) -> list[str]:
    """The whole record, an entry a text."""
    log = open_log(path, holder="tests")
    stored = [str(one.payload) for one in log.entries()]
    log.close()
    return stored


def test_keys_and_lines_from_the_first_picture_on_are_all_stored_in_order(
    tmp_path: Path, windows: list[Window]
) -> None:
    lines = ["North tower", "radiator 360", "store", "cpu block", "store"]
    nobody_read = ["tube 10 mm x 1,2 m", "", "one more"]  # Enter alone came before its question: it takes nothing
    windows.extend(Window(tmp_path / f"{number}.logbook", sit_at_the_screens) for number in range(MANY))
    for window in windows:
        read_until([window], b"Opening the logbook")
        window.write("".join(f"{line}\r" for line in [KEYS, *lines, *nobody_read]).encode())
    read_until(windows, b"waiting: one more")
    for window in windows:
        os.close(window.slave)
        assert "this question was not on the screen when Enter came" in window.text()
        operator, _, build, *parts = as_stored(window.path)[-5:]
        assert operator == str(OperatorNamed(name=KEYS))
        assert "'North tower'" in build
        assert ["radiator" in parts[0], "block" in parts[1]] == [True, True]


@pytest.mark.parametrize("under_way", [hold, fill, sweep])
def test_keys_and_lines_in_the_middle_of_a_stage_are_all_stored_in_order(
    under_way: Callable[[Logbook, HandClock], dict[str, str]], tmp_path: Path, windows: list[Window]
) -> None:
    path = tmp_path / "bench.logbook"
    yesterday = HandClock(wall_ms=round(time.time() * 1000) - 86_400_000)
    book = open_logbook(path, clock=yesterday).book
    book.name_operator("Ada")
    lines = under_way(book, yesterday)
    book.close()
    before = len(as_stored(path))
    windows.append(Window(path, sit_at_the_screens))
    read_until(windows, b"Choose a build")
    windows[0].write(b"Blue Heron\r")  # Enter alone is refused until the window knows that its proposal is painted
    read_until(windows, b"do now")
    windows[0].write("".join(f"{line}\r" for line in [f"note {KEYS}", *lines, "note end"]).encode())
    read_until(windows, b"note: end")
    os.close(windows[0].slave)
    stored = as_stored(path)[before:]
    assert sum(KEYS in one for one in stored) == 1
    assert [mark for one in stored for mark in lines.values() if mark in one] == list(lines.values())
