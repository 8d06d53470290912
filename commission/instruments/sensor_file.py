"""One small file of the kernel that holds a number: read without blocking, with a word for each way it can fail."""

import errno
import os
import re
from collections.abc import Callable

from commission.base.frozen import Frozen
from commission.record.machine.board_sensors import ReadState

LARGEST = 4096
"""The kernel gives at most one page [bytes]."""
_NUMBER = re.compile(r"[+-]?[0-9]{1,18}")
_KERNEL_NOT_SUPPORTED = 524
"""ENOTSUPP inside the kernel; it has no name outside."""


def _codes(*names: str) -> frozenset[int]:
    """Return the numbers of those errors that this system knows."""
    return frozenset(number for name in names if (number := getattr(errno, name, None)) is not None)


_STATES: tuple[tuple[frozenset[int], ReadState], ...] = (
    (_codes("ENODATA"), ReadState.DISABLED),
    (_codes("ENXIO", "ENOENT"), ReadState.ABSENT),
    (_codes("EAGAIN", "EBUSY", "ETIMEDOUT"), ReadState.BUSY),
    (_codes("ENODEV"), ReadState.GONE),
    (_codes("EOPNOTSUPP", "ENOTSUP") | {_KERNEL_NOT_SUPPORTED}, ReadState.UNSUPPORTED),
    (_codes("EACCES", "EPERM"), ReadState.FORBIDDEN),
)
_ONCE_MORE = _codes("ENXIO", "EIO")


class Value(Frozen):
    """What a file gave."""

    number: int | None
    """The number in it; None where there is none."""
    state: ReadState
    """How reading went."""


def read_bytes(path: str) -> bytes:
    """Return the bytes of a small file; a pipe or a device with nothing to say does not hold the caller up.

    Raises
    ------
    OSError
        As the system gives it.
    """
    # Windows has no O_NONBLOCK, and no such files either
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    try:
        return os.read(handle, LARGEST)
    finally:
        os.close(handle)


def read_value(path: str, read: Callable[[str], bytes] = read_bytes) -> Value:
    """Return the number in a file, or the word for what went wrong; a bus error is tried once more."""
    data = _tried(path, read)
    if isinstance(data, ReadState):
        return Value(number=None, state=data)
    text = data.decode("ascii", "replace").strip()
    if _NUMBER.fullmatch(text) is None:
        return Value(number=None, state=ReadState.NOT_A_NUMBER)
    return Value(number=int(text), state=ReadState.READ)


def read_text(path: str, read: Callable[[str], bytes] = read_bytes) -> str:
    """Return the first line of a file without outer blanks; empty where it cannot be read."""
    data = _tried(path, read)
    if isinstance(data, ReadState):
        return ""
    return data.decode("utf-8", "replace").partition("\n")[0].strip()


def _tried(path: str, read: Callable[[str], bytes]) -> bytes | ReadState:
    try:
        return read(path)
    except OSError as error:
        if error.errno not in _ONCE_MORE:
            return state_of(error)
    try:
        return read(path)
    except OSError as error:
        return state_of(error)


def state_of(error: OSError) -> ReadState:
    """Return the word for an error of the system.

    >>> state_of(OSError(errno.EACCES, "Permission denied"))
    <ReadState.FORBIDDEN: 'not permitted'>
    >>> state_of(OSError(errno.EIO, "Input/output error"))
    <ReadState.ERROR: 'read error'>
    """
    return next((state for codes, state in _STATES if error.errno in codes), ReadState.ERROR)
