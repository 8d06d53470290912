"""What the tests start has the usual signals, and no variable from outside changes what they see."""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from types import SimpleNamespace

import pytest

from commission.bootstrap import default_path
from tests.surroundings import (
    COMPILING,
    MEMORY,
    PATIENCE_S,
    ROOM_BYTES,
    SIGNALS,
    forget_variables,
    keep_files_in_memory,
)

TOP = Path(__file__).resolve().parent.parent
STARTS = f"""
import signal, subprocess, sys
for name in {SIGNALS!r}:
    signal.signal(getattr(signal, name), signal.SIG_IGN)
signal.pthread_sigmask(signal.SIG_BLOCK, [signal.SIGINT, signal.SIGTERM])
if sys.argv[1] == "usual":
    from tests.surroundings import hand_on_usual_signals
    hand_on_usual_signals()
child = '''
import signal
print([name for name in {SIGNALS!r} if signal.getsignal(getattr(signal, name)) is signal.SIG_IGN])
print(len(signal.pthread_sigmask(signal.SIG_BLOCK, [])))
'''
subprocess.run([sys.executable, "-I", "-c", child], check=True)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="signals are POSIX")
@pytest.mark.parametrize(("how", "told"), [("usual", ["[]", "0"]), ("as it is", [str(list(SIGNALS)), "2"])])
def test_what_is_started_can_be_interrupted_also_where_this_process_ignores_the_signal(
    how: str, told: list[str]
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", STARTS, how], cwd=TOP, capture_output=True, text=True, check=True, timeout=PATIENCE_S
    )
    assert done.stdout.split("\n")[:2] == told


def test_variables_that_change_what_is_drawn_or_compiled_are_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("COMMISSION_LOGBOOK", "COMMISSION_UPDATE_GOLDEN", "NO_COLOR", "COLUMNS", "TEXTUAL_THEME", COMPILING):
        monkeypatch.setenv(name, "1")
    forget_variables()
    left = {
        name for name in os.environ if name.startswith(("COMMISSION_", "NO_COLOR", "COLUMNS", "TEXTUAL", COMPILING))
    }
    assert left == {"COMMISSION_UPDATE_GOLDEN"}


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only there the variable moves the folder")
def test_the_usual_logbook_is_not_that_of_whoever_runs_the_tests() -> None:
    assert default_path().parent.parent == Path(os.environ["XDG_DATA_HOME"])
    assert not default_path().exists(), "some test has opened the usual logbook"
    assert not default_path().is_relative_to(Path.home() / ".local")


@pytest.mark.skipif(not MEMORY.is_dir(), reason="no such folder here")
@pytest.mark.parametrize(
    ("free", "chosen", "found"),
    [
        (ROOM_BYTES, "", str(MEMORY)),
        (ROOM_BYTES - 1, "", None),
        (ROOM_BYTES, "/var/tmp", "/var/tmp"),
    ],
)
def test_temporary_files_lie_in_memory_where_there_is_room_and_nobody_chose_a_place(
    monkeypatch: pytest.MonkeyPatch, free: int, chosen: str, found: str | None
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", "as before")
    monkeypatch.setenv("TMPDIR", chosen)
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: SimpleNamespace(free=free))
    keep_files_in_memory()
    assert os.environ["TMPDIR"] == (found or "")
    assert tempfile.tempdir == (str(MEMORY) if found == str(MEMORY) else "as before")
