"""What runs in processes of its own, to be killed, starved or stripped of its rights.

A fork server starts them: it imports everything once and never opens a logbook itself, so that each child begins
within milliseconds and inherits no open database.
"""

import multiprocessing
import os
import signal
import sqlite3
import sys
from collections.abc import Callable
from functools import cache
from multiprocessing import forkserver
from multiprocessing.connection import Connection
from multiprocessing.context import BaseContext
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any
from unittest import mock

from commission.base.errors import CommissionError
from commission.record.entries import NoteAdded
from commission.record.logged import Draft
from commission.storage import connection as connections
from tests.registered import open_log
from tests.storage.making import MARK, stream

PRELOAD = [
    "__main__",
    "commission.bootstrap",
    "commission.shell.start",
    "commission.stages.pressure_hold.judge.verdict",
    "commission.storage.exchange",
    "commission.storage.glance",
    "commission.units.registry",
    "pint",
    "scipy.special",
    "sqlite_utils",
    "commission.ui.screens.home",
    "commission.ui.app",
    "commission.instruments.system_clock",
    "tests.faults.children",
    "tests.faults.frozen",
]


@cache
def context() -> BaseContext:
    """Return how processes are started here."""
    if sys.platform == "win32":
        return multiprocessing.get_context("spawn")
    found = multiprocessing.get_context("forkserver")
    found.set_forkserver_preload(PRELOAD)
    # the server looks for what it is to import by the environment only, not by the path of this process
    with mock.patch.dict(os.environ, {"PYTHONPATH": os.pathsep.join(filter(None, sys.path))}):
        forkserver.ensure_running()
    return found


def start(work: Callable[..., None], *args: Any) -> tuple[BaseProcess, Connection]:
    """Start a child and return it with the end of a pipe on which it talks."""
    ours, theirs = context().Pipe()
    process = context().Process(target=work, args=(theirs, *args), daemon=True)  # type: ignore[attr-defined]
    process.start()
    theirs.close()
    return process, ours


def numbered(name: str, number: int) -> Draft:
    """Return a draft that is the same each time it is made."""
    return Draft(
        uid=f"{name}-{number}", build="b1", operator="", mark=MARK, payload=NoteAdded(text=f"{name} note {number}")
    )


def write_until_killed(pipe: Connection, path: Path, name: str) -> None:
    """Append entries and samples and acknowledge each only after it was stored."""
    log = open_log(path, holder=name)
    assert log.read_only_because == "", log.read_only_because
    held = len(log.samples("s").elapsed_s)
    for number in range(1_000_000):
        entry = log.append(numbered(name, number))
        pipe.send_bytes(b"entry %d" % entry.seq)
        if number % 3 == 2:
            held = log.add_samples("s", stream(4, first=held))
            pipe.send_bytes(b"samples %d" % held)


def hold_the_lock(pipe: Connection, path: Path) -> None:
    """Open for writing and wait to be told, or killed."""
    log = open_log(path, holder="commission 9.9")
    pipe.send(log.read_only_because)
    pipe.recv()
    log.close()


def export_until_killed(pipe: Connection, path: Path, folder: Path) -> None:
    """Export under one name after the other and say so after each."""
    from commission.storage.exchange import write_bundle
    from tests.registered import open_log_for_reading

    log = open_log_for_reading(path)
    for number in range(1_000_000):
        write_bundle(log, folder / f"{number}.jsonl")
        pipe.send_bytes(b"%d" % number)


def export_in_place_until_killed(pipe: Connection, path: Path, folder: Path) -> None:
    """The twin that a test must catch: writes under the final name from the start."""
    from commission.storage.exchange import export_bundle
    from tests.registered import open_log_for_reading

    log = open_log_for_reading(path)
    for number in range(1_000_000):
        with (folder / f"{number}.jsonl").open("x", encoding="utf-8") as file:
            file.writelines(export_bundle(log))
        pipe.send_bytes(b"%d" % number)


def append_many(pipe: Connection, path: Path, name: str, count: int) -> None:
    """Append through the store's own functions, without the writer's lock, as a second program would."""
    from commission.storage import appending

    made = connections.connect_for_writing(path)
    connections.only_add(made)
    for number in range(count):
        made.execute("BEGIN IMMEDIATE")
        appending.append_inside(made, numbered(name, number))
        made.execute("COMMIT")
    made.close()
    pipe.send("done")


def starve(pipe: Connection, path: Path, limit: int) -> None:
    """Append until files may grow no further, say what was said, then go on without the limit."""
    import resource

    log = open_log(path, holder="starved")
    log.append(numbered("before", 0))
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
    number, said = 0, ""
    while not said and number < 10_000:
        try:
            log.append(numbered("starved", number))
            number += 1
        except CommissionError as error:
            said = f"{type(error).__name__}: {error}"
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    again = log.append(numbered("starved", number))
    pipe.send((number, said, again.seq, log.verify()))
    log.close()


def starve_at_birth(pipe: Connection, path: Path) -> None:
    """Write the very first entry where there is no room even for the tables; then where there is."""
    import resource

    log = open_log(path, holder="starved")
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (6000, resource.RLIM_INFINITY))
    try:
        said = str(log.append(numbered("first", 0)))
    except CommissionError as error:
        said = f"{type(error).__name__}: {error}"
    empty = (log.entries(), log.head().seq)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    again = log.append(numbered("first", 0))
    pipe.send((said, empty, again.seq, log.verify()))
    log.close()


def open_as_nobody(pipe: Connection, path: Path) -> None:
    """Open a logbook without any rights but those of other users."""
    import sqlite_utils  # noqa: F401 - cannot be read any more afterwards

    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
    try:
        log = open_log(path, holder="nobody")
    except CommissionError as error:
        pipe.send((type(error).__name__, str(error), 0, ""))
        return
    because, count, refusal = log.read_only_because, len(log.entries()), ""
    try:
        log.append(numbered("nobody", 1))
    except CommissionError as error:
        refusal = f"{type(error).__name__}: {error}"
    log.close()
    pipe.send(("opened", because, count, refusal))


def keep_reading(pipe: Connection, path: Path) -> None:
    """Read half of a table and wait."""
    made = sqlite3.connect(path, isolation_level=None)
    cursor = made.execute("SELECT * FROM entry")
    cursor.fetchone()
    pipe.send("reading")
    pipe.recv()
    cursor.close()
    made.close()
    pipe.send("done")


def sit_at_the_screens(pipe: Connection, terminal: str, path: Path) -> None:
    """Open the screens on a terminal of its own; the pipe ends when this process does."""
    import fcntl
    import termios

    from commission.__main__ import main

    pipe.send(os.getpid())
    os.setsid()
    made = os.open(terminal, os.O_RDWR)
    fcntl.ioctl(made, termios.TIOCSCTTY, 0)
    for number in (0, 1, 2):
        os.dup2(made, number)
    os.close(made)
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        stream = os.fdopen(number, "r" if number == 0 else "w", closefd=False)
        vars(sys).update({name: stream, f"__{name}__": stream})
    os.environ.update(COMMISSION_LOGBOOK=str(path), TERM="xterm-256color", TEXTUAL_ANIMATIONS="none")
    sys.argv = ["commission"]
    main()


def have_a_child_at_the_screens(pipe: Connection, terminal: str, path: Path) -> None:
    """Be the parent of a process that sits at the screens, in another session than it, and wait to be killed."""
    if os.fork() == 0:
        sit_at_the_screens(pipe, terminal, path)
    pipe.close()
    signal.pause()
