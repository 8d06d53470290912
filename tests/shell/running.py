"""Runs the command: as a real process, as a shell would, or within this one, which is quicker."""

import io
import json
import os
import subprocess
import sys
from collections.abc import Mapping
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

import click

from commission.__main__ import job
from commission.bench.job import Job
from commission.shell.main import commission, exit_status
from tests.surroundings import PATIENCE_S

TOP_COMMANDS = commission.all_commands(click.Context(commission, obj=job()))
"""Each top command by its name."""

HERE = Path(__file__).resolve()
TOP = HERE.parents[2]
SAMPLES = TOP / "sample_logs"
HANDED_ON = ("PATH", "HOME", "TMPDIR", "TEMP", "TMP", "TZ", "XDG_DATA_HOME", "SYSTEMROOT", "COMSPEC", "PATHEXT")
"""Variables that a process takes over: what a system needs to start one, and no taste of whoever runs the tests."""


@dataclass(frozen=True, slots=True)
class Ran:
    """What a process left behind."""

    status: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        """The lines of standard output."""
        return self.out.splitlines()


def environment(logbook: Path | None = None, more: Mapping[str, str] | None = None) -> dict[str, str]:
    """Return the environment of a process: what it needs of this one's, in one language, with another logbook."""
    env = {key: value for key, value in os.environ.items() if key in HANDED_ON}
    env |= {"PYTHONPATH": str(TOP), "LANG": "C.UTF-8", "NO_COLOR": "1", "TERM": "xterm-256color"} | dict(more or {})
    if logbook is not None:
        env["COMMISSION_LOGBOOK"] = str(logbook)
    return env


def command(*arguments: str) -> list[str]:
    """Return the command line of a process."""
    return [sys.executable, "-m", "commission", *arguments]


def ran(
    *arguments: str,
    text: str | bytes = "",
    logbook: Path | None = None,
    env: Mapping[str, str] | None = None,
    encoding: str = "utf-8",
) -> Ran:
    """Run the command to its end."""
    done = subprocess.run(
        command(*arguments),
        input=text.encode() if isinstance(text, str) else text,
        env=environment(logbook, env),
        capture_output=True,
        timeout=PATIENCE_S,
        check=False,
    )
    return Ran(done.returncode, done.stdout.decode(encoding), done.stderr.decode(encoding))


def statuses(cases: list[dict[str, object]]) -> list[int]:
    """Run each case in a process of its own, as ``tests/shell/forked.py`` says, and return the exit statuses."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.shell.forked"],
        input=json.dumps(cases),
        env=environment(),
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=True,
    )
    found: list[int] = json.loads(done.stdout)
    assert len(found) == len(cases)
    return found


def standard_input(data: bytes) -> io.BytesIO:
    """Return what a command that is called within this process reads; a fixture may put another in its place."""
    return io.BytesIO(data)


def called(*arguments: str, text: str | bytes = "", logbook: Path | None = None, stages: Job | None = None) -> Ran:
    """Run the command within this process; its end of process is not run, its exit status is."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="") for _ in range(2))
    given = io.TextIOWrapper(standard_input(text.encode() if isinstance(text, str) else text), encoding="utf-8")
    env = {} if logbook is None else {"COMMISSION_LOGBOOK": str(logbook)}
    with patch.dict(os.environ, env), patch("sys.stdin", given), redirect_stdout(out), redirect_stderr(err):
        status = exit_status(arguments, stages or job())
    texts = []
    for stream in (out, err):
        stream.flush()
        texts.append(stream.buffer.getvalue().decode())
    return Ran(status, *texts)


def one_line(error: str) -> str:
    """Return the only line of standard error; a traceback or a second line fails."""
    lines = error.splitlines()
    assert len(lines) == 1, error
    return lines[0]
