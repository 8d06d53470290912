"""Standard output and standard error: every line made safe to show, and truthful ends of pipes."""

import os
import sys
from typing import NoReturn

from commission.domain.text import clean

SIGNS = "·×⁻±°…"
"""Signs that the plain output uses where the terminal has them."""

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
        SIGNS.encode(sys.stdout.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return True
    return False


def say(line: str = "", *, flush: bool = False) -> None:
    """Print one line on standard output, with every control character in it spelled out."""
    sys.stdout.write(clean(line) + "\n")
    if flush:
        sys.stdout.flush()


def tell(line: str) -> None:
    """Print one line on standard error, with every control character in it spelled out."""
    sys.stderr.write(clean(line) + "\n")
    sys.stderr.flush()


def complain(message: str) -> None:
    """Print an error as one line on standard error."""
    tell(f"commission: {message}")


def leave(status: int) -> NoReturn:
    """End the process; where the output's reader is gone, end quietly with the status that says so."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        status = PIPE_CLOSED
    if status == PIPE_CLOSED:
        # the interpreter flushes once more at its end and would print a traceback
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(status)
