"""Lines from a gauge on a serial port: opened, lost, found again. Nothing is ever written to it."""

import re
import time
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from typing import Protocol

from commission.base.errors import FileError
from commission.base.text import clean, clip

EXTRA = "a gauge on a serial port wants pyserial: install commission with its extra serial"
"""Said where pyserial is missing."""

WAIT_S = 0.5
"""How long one read waits [s]; our choice: short beside the seconds between two readings."""

AGAIN_S = 1.0
"""Time between two tries to find a port again [s]; our choice."""

LONGEST = 4096
"""Most characters without a line end; what is longer is no line of a gauge [bytes]; our choice."""

_END = re.compile(rb"[\r\n]+")


class Port(Protocol):
    """What is asked of an open port."""

    @property
    def in_waiting(self) -> int:
        """Bytes that came and were not read [1]."""

    def read(self, size: int = 1) -> bytes:
        """Return what came, at most so many bytes; nothing after a while without any."""

    def close(self) -> None:
        """Let the port go."""


def serial_lines(
    name: str,
    speed: int,
    tell: Callable[[str], object],
    *,
    opened: Callable[[str, int], Port] | None = None,
    sleep: Callable[[float], None] = time.sleep,
) -> Iterator[str]:
    """Yield each whole line that comes, and an empty text for each wait without one; it ends never.

    The first line after each opening is left out: the beginning of it may be lost, and half a number is a false one.

    Parameters
    ----------
    name
        The port, such as ``/dev/ttyUSB0``.
    speed
        Its speed [baud].
    tell
        Says that the port is gone, and that it is there again.
    opened
        Opens the port; None for pyserial.
    sleep
        Waits for so many seconds.

    Raises
    ------
    FileError
        If pyserial is missing, or the port cannot be opened at the start.
    """
    open_port = opened or open_serial
    port = open_port(name, speed)
    while True:
        try:
            yield from _lines_of(port)
        except OSError:  # so does pyserial call whatever happens to a port
            tell(f"{clean(name)} is gone; looking for it each second")
        finally:
            port.close()
        port = _found_again(open_port, name, speed, sleep)
        tell(f"{clean(name)} is there again")


def _found_again(open_port: Callable[[str, int], Port], name: str, speed: int, sleep: Callable[[float], None]) -> Port:
    while True:
        sleep(AGAIN_S)
        try:
            return open_port(name, speed)
        except (FileError, OSError):
            continue


def _lines_of(port: Port) -> Iterator[str]:
    left, whole = b"", False
    while True:
        came = port.read(max(1, min(LONGEST, port.in_waiting)))
        if not came:
            yield ""
            continue
        *lines, left = _END.split(left + came)
        for line in lines:
            if whole and line:
                yield clean(line.decode("utf-8", "replace"))
            whole = True
        if len(left) > LONGEST:
            left, whole = b"", False


def open_serial(name: str, speed: int) -> Port:
    """Return a port that is open for this program alone.

    Raises
    ------
    FileError
        If pyserial is missing or the port cannot be opened; it names those that are there.
    """
    if find_spec("serial") is None:
        raise FileError(EXTRA)
    import serial

    try:
        port: Port = serial.Serial(name, speed, timeout=WAIT_S, exclusive=True)
    except (OSError, ValueError) as error:
        why = _reason(error)
        raise FileError(f"{clip(name)} cannot be opened: {why}; ports here: {_ports()}") from error
    return port


def _reason(error: OSError | ValueError) -> str:
    import os

    number = getattr(error, "errno", None)
    return os.strerror(number) if number else "it is no serial port, or another program has it"


def _ports() -> str:
    from serial.tools.list_ports import comports

    return ", ".join(sorted(port.device for port in comports())) or "none"
