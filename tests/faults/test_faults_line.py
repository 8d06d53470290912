"""The line in a real terminal: a storm of the mouse takes no key away, and a window that was locked out takes over."""

import fcntl
import os
import random
import signal
import struct
import sys
import termios
from pathlib import Path

import pytest

from commission.record.entries import NoteAdded
from tests.faults.children import sit_at_the_screens
from tests.faults.windows import Window, read_until, windows
from tests.registered import open_log

pytestmark = [
    pytest.mark.faults,
    pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX"),
]
__all__ = ["windows"]

NOTES = ("gauge 497,5 mbar at 21.3", "pump hums; no bubbles", "one drop at the lower port")
TAB, LOOKED_AWAY, BACK, HELP = b"\t", b"\x1b[O", b"\x1b[I", b"\x1bOP"


def click(column: int, row: int) -> bytes:
    """A press and a release of the left button as terminals send them (SGR, mode 1006)."""
    return f"\x1b[<0;{column};{row}M\x1b[<0;{column};{row}m".encode()


def wheel(column: int, row: int) -> bytes:
    return f"\x1b[<65;{column};{row}M".encode()


def resize(window: Window, columns: int, rows: int) -> None:
    fcntl.ioctl(window.master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    os.kill(window.pid, signal.SIGWINCH)


def storm(window: Window, chance: random.Random) -> None:
    """Do something to the window that asks for nothing: the list, the title and what stands above the line."""
    resize(window, *chance.choice(((80, 24), (100, 30), (70, 20))))
    for _ in range(3):
        # away from the rows at the foot, where a click presses a key, and from the line itself
        column, row = chance.randrange(1, 70), chance.randrange(9, 12)
        window.write(chance.choice((click(column, row), wheel(column, row), TAB, LOOKED_AWAY, BACK)))


def notes(path: Path) -> list[str]:
    log = open_log(path, holder="tests")
    found = [one.payload.text for one in log.entries() if isinstance(one.payload, NoteAdded)]
    log.close()
    return found


def test_a_storm_in_a_real_terminal_takes_no_key_away(tmp_path: Path, windows: list[Window]) -> None:
    window = Window(tmp_path / "x.logbook", sit_at_the_screens)
    windows.append(window)
    chance = random.Random(20_311_128)
    read_until(windows, b"Who works")
    os.close(window.slave)
    window.write(b"Ada\rNorth tower\r\x1bOS")
    read_until(windows, b"to withdraw it")
    for note in NOTES:
        for sign in f"note {note}":
            window.write(sign.encode())
            if chance.random() < 0.4:
                storm(window, chance)
        resize(window, 80, 24)
        read_until(windows, f"understood: note: {note}".encode())
        window.write(b"\r")
        read_until(windows, f"· note: {note}".encode())
    assert notes(window.path) == list(NOTES)


def test_what_was_half_typed_when_the_window_was_closed_stands_there_again(
    tmp_path: Path, windows: list[Window]
) -> None:
    first = Window(tmp_path / "x.logbook", sit_at_the_screens)
    windows.append(first)
    read_until([first], b"Who works")
    os.close(first.slave)
    first.write(b"Ada\rNorth tower\rradiator 240\rvolume 300 mL\r3 chan")
    read_until([first], b"> 3 chan")
    first.close()  # the terminal is gone
    assert first.pipe.poll(60.0)
    second = Window(first.path, sit_at_the_screens)
    windows.append(second)
    read_until([second], b"Enter opens North tower")
    os.close(second.slave)
    second.write(b"North tower\r")  # Enter alone is refused until the window knows that its proposal is painted
    read_until([second], b"> 3 chan")
    read_until([second], b"300 mL")  # the card is drawn behind the line
    assert "2 answers taken up again" in second.text()


def test_a_window_that_was_locked_out_says_by_whom_and_takes_over(tmp_path: Path, windows: list[Window]) -> None:
    first = Window(tmp_path / "x.logbook", sit_at_the_screens)
    windows.append(first)
    read_until([first], b"Who works")
    os.close(first.slave)
    first.write(b"Ada\rNorth tower\r")
    read_until([first], b"first part of the loop")
    second = Window(first.path, sit_at_the_screens)
    windows.append(second)
    read_until([second], f"(process {first.pid} on ".encode())
    os.close(second.slave)
    second.write(b"North tower\r\x1bOS")
    read_until([second], b"to withdraw it")
    second.write(b"note from the second\r")
    read_until([second], b"not stored: nothing was stored:")
    os.kill(first.pid, signal.SIGKILL)
    read_until([second], b"this one records now")
    second.write(b"\r")
    read_until([second], b"\xc2\xb7 note: from the second")
    assert notes(first.path)[-1] == "from the second"
