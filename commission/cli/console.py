"""Standard output and standard error: every line made safe to show, and truthful ends of pipes."""

import os
import sys
import traceback
from collections.abc import Callable
from typing import NoReturn

from commission.domain.errors import CommissionError
from commission.domain.text import clean

SIGNS = "·×⁻±°…"
"""Signs that the plain output uses where the terminal has them."""

USAGE = 2
"""Exit status of a usage, file or logbook error."""

INTERRUPTED = 130
"""Exit status after Ctrl-C."""

PIPE_CLOSED = 141
"""Exit status where nobody reads the output any more."""


def ready_streams() -> None:
    """Let no character that a terminal lacks end a command."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def ascii_only() -> bool:
    """Return whether standard output lacks the signs that the plain output uses."""
    try:
        SIGNS.encode(getattr(sys.stdout, "encoding", None) or "ascii")
    except (UnicodeEncodeError, LookupError):
        return True
    return False


def say(line: str = "") -> None:
    """Print one line on standard output, with every control character in it spelled out.

    Raises
    ------
    BrokenPipeError
        If nobody reads the output.
    """
    if sys.stdout is None:
        raise BrokenPipeError
    sys.stdout.write(clean(line) + "\n")


def say_now(line: str) -> None:
    """Print one line as `say` does, and let it out at once."""
    say(line)
    sys.stdout.flush()


def tell(line: str) -> None:
    """Print one line on standard error, with every control character in it spelled out."""
    if sys.stderr is not None:
        sys.stderr.write(clean(line) + "\n")
        sys.stderr.flush()


def complain(message: str) -> None:
    """Print an error as one line on standard error."""
    tell(f"commission: {message}")


def status_of(call: Callable[[], int]) -> int:
    """Return the exit status of what is called; errors that a person can mend become one line."""
    try:
        status = call()
        if sys.stdout is not None:
            sys.stdout.flush()
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


def tell_fault() -> None:
    """Print what is known of a fault of the program on standard error."""
    for line in traceback.format_exc().splitlines():
        tell(line)
    complain("this is a fault of the program, not of yours; what was acknowledged is stored")


def leave(status: int) -> NoReturn:
    """End the process; where the output's reader is gone, end quietly with the status that says so."""
    gone = status == PIPE_CLOSED
    try:
        if sys.stdout is not None:
            sys.stdout.flush()
    except OSError as error:
        gone = True
        status = PIPE_CLOSED if isinstance(error, BrokenPipeError) else status or USAGE
    if gone and sys.stdout is not None:
        # the interpreter flushes once more at its end and would print a traceback
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(status)
