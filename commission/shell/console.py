"""Standard output and standard error: every line made safe to show, and truthful ends of pipes.

What could not be written is an error, so that no failure reads as a verdict: a script looks at the status alone.
"""

import errno
import io
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import NoReturn, TextIO, cast

from commission.base.errors import CommissionError
from commission.base.text import clean, clip, fold

SIGNS = "·×⁻±°…"
"""Signs that the plain output uses where the terminal has them."""

USAGE = 2
"""Exit status of a usage, file or logbook error."""

INTERRUPTED = 130
"""Exit status after Ctrl-C."""

PIPE_CLOSED = 141
"""Exit status where nobody reads the output any more."""


LAST_STANDARD = 2
"""Number of the last of the three standard handles."""

OUTPUT = "standard output cannot be written; what was stored stands"
"""Stands in place of a file's name in the error of an output that is full or closed."""

FAULT = 70
"""Exit status of a fault of the program (EX_SOFTWARE of sysexits.h): Python's own 1 would read as a failed hold."""

_PLACES = 3
"""So many places of the program are named for a fault: enough to find it, few enough for one line; our choice."""


class _Closed(io.TextIOBase):
    """Stands where a standard stream was closed before the start: writing fails as the system would have it fail."""

    def write(self, text: str, /) -> int:
        """Fail; raises OSError (EBADF)."""
        raise OSError(errno.EBADF, "it is closed" if text else "")


def ready_streams() -> None:
    """Let no character that a terminal lacks end a command, and let a closed stream fail where it is written to."""
    _occupy_closed_handles()
    sys.stdout = sys.stdout or cast("TextIO", _Closed())
    sys.stderr = sys.stderr or cast("TextIO", _Closed())
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def _occupy_closed_handles() -> None:
    """Fill the three standard handles: the next file opened would take a closed one's place, and be written over."""
    with suppress(OSError):
        while (handle := os.open(os.devnull, os.O_RDWR)) <= LAST_STANDARD:
            pass
        os.close(handle)


def ascii_only() -> bool:
    """Return whether standard output lacks the signs that the plain output uses."""
    try:
        SIGNS.encode(getattr(sys.stdout, "encoding", None) or "ascii")
    except (UnicodeEncodeError, LookupError):
        return True
    return False


def say(line: str = "") -> None:
    """Print one line on standard output in signs that it has, with every control character in it spelled out.

    Raises
    ------
    BrokenPipeError
        If nobody reads the output.
    OSError
        If it is full or closed.
    """
    with _writing():
        sys.stdout.write(in_its_signs(line) + "\n")


def in_its_signs(line: str) -> str:
    """Return a line as standard output can show it: cleaned, and our own signs in ASCII where it lacks them."""
    cleaned = clean(line)
    return fold(cleaned) if ascii_only() else cleaned


def let_out() -> None:
    """Let everything said so far out at once; raises as `say` does."""
    with _writing():
        sys.stdout.flush()


def say_now(line: str) -> None:
    """Print one line as `say` does, and let it out at once."""
    say(line)
    let_out()


def mark(text: str) -> None:
    """Print a mark behind which a line is typed, and let it out; raises as `say` does."""
    with _writing():
        sys.stdout.write(text)
    let_out()


@contextmanager
def _writing() -> Iterator[None]:
    """Put the words for what could not be written into an error; a closed pipe stays one."""
    try:
        yield
    except OSError as error:
        raise OSError(error.errno, error.strerror, OUTPUT) from error


def tell(line: str) -> bool:
    """Print one line on standard error, with every control character in it spelled out.

    Returns whether it could be written: what cannot be told must not change how the command ends.
    """
    try:
        sys.stderr.write(clean(line) + "\n")
        sys.stderr.flush()
    except (OSError, ValueError):  # ValueError: closed inside this process
        return False
    return True


def complain(message: str) -> None:
    """Print an error as one line on standard error."""
    tell(f"commission: {message}")


def status_of(call: Callable[[], int]) -> int:
    """Return the exit status of what is called; errors that a person can mend become one line."""
    try:
        status = call()
        let_out()
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        return PIPE_CLOSED
    except CommissionError as error:
        complain(str(error))
    except OSError as error:
        complain(f"{error.filename or 'the operating system'}: {error.strerror or error}")
    else:
        return status
    return USAGE


def tell_fault(error: BaseException) -> None:
    """Tell a fault of the program on standard error: what it is, and where, in one line."""
    places, trace = [], error.__traceback__
    while trace is not None:
        places.append(f"{trace.tb_frame.f_code.co_filename.rpartition(os.sep)[2]} line {trace.tb_lineno}")
        trace = trace.tb_next
    what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    where = ", ".join(reversed(places[-_PLACES:]))
    complain(
        f"this is a fault of the program, not of yours; what was acknowledged is stored ({clip(what, 200)}; {where})"
    )


def leave(status: int) -> NoReturn:
    """End the process; where the output could not be let out, with a status that is no verdict."""
    lost = _let_go(sys.stdout)
    if lost is not None and status not in (USAGE, FAULT, INTERRUPTED, PIPE_CLOSED):
        status = PIPE_CLOSED if isinstance(lost, BrokenPipeError) else USAGE
    _let_go(sys.stderr)
    sys.exit(status)


def _let_go(stream: TextIO) -> OSError | None:
    """Let out what a stream still holds; where that fails, return the error and see to it that nothing tries again.

    The interpreter flushes once more at its end, and would end with a status of its own (120) and a traceback.
    """
    try:
        stream.flush()
    except OSError as error:
        with suppress(OSError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        return error
    return None
