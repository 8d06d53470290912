"""The same surroundings for every test, whatever started it: signals and variables. Imports nothing heavy."""

import os
import shutil
import signal
import tempfile
from collections.abc import Callable
from pathlib import Path
from types import FrameType

KEPT = ("COMMISSION_UPDATE_GOLDEN",)
"""Variables of ours that are meant for the tests."""
COLOURS = ("NO_COLOR", "FORCE_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLORTERM", "COLUMNS", "LINES")
"""Variables that say how to draw."""
PATIENCE_S = 300.0
"""How long is waited for what comes by itself [s]: on the busiest machine enough, and less than for ever."""
SIGNALS = ("SIGINT", "SIGHUP", "SIGQUIT", "SIGTERM", "SIGUSR1", "SIGALRM")
"""Signals that a shell in the background, nohup or a service manager may have taken away."""
COMPILING = "PYTHONDONTWRITEBYTECODE"
"""With it each program that the tests start compiles all of it again, which takes longer than what it is asked."""
MEMORY = Path("/dev/shm")
"""Where Linux keeps files in memory."""
ROOM_BYTES = 1 << 30
"""How much of it must be free: the tests of large files need some 100 MB for each worker; the rest is reserve."""


def keep_files_in_memory() -> None:
    """Let temporary files of this process and those it starts lie in memory, where there is room for them.

    A disk is slow to say that it has stored something, and each entry waits for that. What the tests ask is the same on
    both: a process that is killed leaves what the system holds, a file that may grow no further fails alike, and that
    the disk is asked at all is seen from the calls. A power cut is tests/benchmarks/power_cut.py, on a real disk.
    Whoever sets TMPDIR, or gives pytest a ``--basetemp``, has the files there.
    """
    if os.environ.get("TMPDIR") or not os.access(MEMORY, os.W_OK | os.X_OK):
        return
    if shutil.disk_usage(MEMORY).free >= ROOM_BYTES:
        os.environ["TMPDIR"] = tempfile.tempdir = str(MEMORY)


def forget_variables() -> None:
    """Take away the variables that change what the program does, how it draws or how long it takes to start."""
    for name in list(os.environ):
        if (name.startswith(("COMMISSION_", "TEXTUAL")) and name not in KEPT) or name in (*COLOURS, COMPILING):
            del os.environ[name]


def move_usual_logbook() -> Callable[[], None]:
    """Let the usual place of the logbook lie in a new folder, for this process and those it starts; return the undoing.

    No test opens the usual logbook; one that does so by mistake must not find that of whoever runs the tests. (The
    variable is that of the XDG base directory specification; other systems do not look at it.)
    """
    folder = tempfile.mkdtemp(prefix="commission-tests-")
    os.environ["XDG_DATA_HOME"] = folder
    return lambda: shutil.rmtree(folder, ignore_errors=True)


def hand_on_usual_signals() -> None:
    """Let whatever is started from here have the usual signals, also where this process must ignore them.

    A signal that is ignored stays ignored in a new program; one that is handled becomes the usual one there (POSIX,
    exec). So a handler that does nothing keeps this process as it was, and what it starts can be interrupted.
    """
    for name in SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_IGN:
            signal.signal(number, _nothing)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_SETMASK, [])


def _nothing(_number: int, _frame: FrameType | None) -> None:
    """Take a signal that was to be ignored."""
