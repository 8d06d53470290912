"""A gauge on a serial port, over a pair of pseudo terminals (POSIX): its lines, lost, found again, never written to."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.base.errors import FileError
from commission.instruments import serial_port
from commission.instruments.serial_port import serial_lines
from tests.instruments.pty_gauge import Gauge

pytest.importorskip("serial", reason="the extra serial is not installed")


def next_line(lines: Iterator[str]) -> str:
    return next(line for line in lines if line)


def test_lines_come_whole_and_a_lost_port_is_found_again(tmp_path: Path) -> None:
    gauge, told, naps = Gauge(tmp_path / "gauge"), list[str](), list[float]()
    gauge.plug()

    def nap(seconds: float) -> None:
        naps.append(seconds)
        if len(naps) == 2:
            gauge.plug()

    def tell(text: str) -> None:
        told.append(text)
        if "again" in text:
            gauge.say(b"torn 9.9\r\n497.2 mbar\r\n")

    lines = serial_lines(str(gauge.name), 9600, tell, sleep=nap)
    assert next(lines) == ""  # open, and nothing came yet
    gauge.say(b"7.5 mbar\r\n497.5 mbar\r\n497")  # the first one is half a line: 497.5 would read 7.5
    assert next_line(lines) == "497.5 mbar"
    gauge.say(b".4 mbar\r\n")
    assert next_line(lines) == "497.4 mbar"
    gauge.say(b"497.3")
    gauge.pull()
    assert next_line(lines) == "497.2 mbar"
    assert told == [f"{gauge.name} is gone; looking for it each second", f"{gauge.name} is there again"]
    assert naps == [1.0, 1.0]
    os.set_blocking(gauge.ends[0], False)
    with pytest.raises(BlockingIOError):
        os.read(gauge.ends[0], 1)  # nothing was ever written to it
    lines.close()  # type: ignore[attr-defined]
    gauge.pull()


def test_a_port_that_is_not_there_is_refused_with_those_that_are(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="cannot be opened: No such file or directory; ports here: "):
        next(serial_lines(str(tmp_path / "none"), 9600, print))
    (tmp_path / "file").write_text("1\n")
    with pytest.raises(FileError, match="cannot be opened: "):
        next(serial_lines(str(tmp_path / "file"), 9600, print))


def test_what_has_no_line_end_is_not_kept_without_end() -> None:
    came = iter([b"x" * 3000, b"x" * 3000, b"1\n2\n", b"3\n"])

    class Endless:
        in_waiting = 1

        def read(self, _size: int = 1) -> bytes:
            return next(came)

        def close(self) -> None:
            pass

    lines = serial_lines("port", 9600, print, opened=lambda _name, _speed: Endless())
    assert [next(lines), next(lines)] == ["2", "3"]


def test_without_the_extra_one_line_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serial_port, "find_spec", lambda _name: None)
    with pytest.raises(FileError, match="install commission with its extra serial"):
        next(serial_lines("/dev/ttyUSB0", 9600, print))
