"""Runs many commands, each in a process of its own with standard streams of its own: forked, to import all once.

Read as JSON on standard input: a list of ``{"arguments": [...], "out": ..., "err": ..., "env": {...}}``, where a stream
is ``file`` (a scratch file), ``full``, ``closed`` or ``gone`` (a pipe that nobody reads); with ``"needs": [...]``, the
modules that the command would import first. Written as JSON: the exit status of each.

What every command needs that opens a logbook is imported before all of them. Each child ends as the interpreter ends,
and pays for every module that it inherits: so what few cases need is imported only before the first of them, and
whoever makes the list puts those last.
"""

import atexit
import gc
import json
import os
import sys
from collections.abc import Callable, Iterable
from importlib import import_module
from typing import Any, NoReturn

from commission.__main__ import job
from tests.shell.running import TOP_COMMANDS

OPENING = ("commission.bootstrap", "commission.storage.opening")
"""What a logbook is opened with."""


def opened(what: str) -> int | None:
    """Return a new handle of that kind; None for a closed one."""
    if what == "closed":
        return None
    if what == "gone":
        reader, writer = os.pipe()
        os.close(reader)
        return writer
    return os.open("/dev/full", os.O_WRONLY) if what == "full" else os.memfd_create("scratch")


def put(handle: int | None, place: int) -> None:
    """Make a handle one of the three standard ones, and nothing else."""
    os.close(place)
    if handle is not None:
        os.dup2(handle, place)
        os.close(handle)


def become(case: dict[str, Any]) -> None:
    """Take on what the interpreter would find at its start."""
    out, err = (opened(str(case[name])) for name in ("out", "err"))
    put(os.open(os.devnull, os.O_RDONLY), 0)
    put(out, 1)
    put(err, 2)
    sys.stdin = sys.__stdin__ = open(0, encoding="utf-8", closefd=False)  # type: ignore[misc] # noqa: SIM115
    sys.stdout, sys.stderr = (
        None if handle is None else open(place, "w", encoding="utf-8", buffering=size, closefd=False)  # noqa: SIM115
        for handle, place, size in ((out, 1, 8192), (err, 2, 1))
    )
    sys.__stdout__, sys.__stderr__ = sys.stdout, sys.stderr  # type: ignore[misc]
    sys.argv = ["commission", *case["arguments"]]
    os.environ |= case["env"]


def end(command: Callable[[], None]) -> NoReturn:
    """Run the command and end as the interpreter does, but for taking down every module, which no status depends on.

    That is: what was registered for the end is run, then both streams are flushed, and where that fails the status is
    120 (CPython, ``Py_FinalizeEx``); an error that nobody caught would be 1.
    """
    try:
        command()
        status = 0
    except SystemExit as ended:
        status = ended.code if isinstance(ended.code, int) else 0 if ended.code is None else 1
    except BaseException:
        status = 1
    atexit._run_exitfuncs()
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None and not stream.closed:
                stream.flush()
        except OSError:
            status = 120
    os._exit(status)


def load(modules: Iterable[str]) -> None:
    """Import for all children, and let their collector leave it alone: it would touch and so copy all of it."""
    for module in modules:
        import_module(module)
    gc.collect()
    gc.freeze()


def main() -> None:
    """Run all that is asked for."""
    job().registry()  # loads what the record asks of each stage
    load((*OPENING, *(one.target.partition(":")[0] for one in TOP_COMMANDS.values())))
    from commission.__main__ import main as command

    statuses = []
    for case in json.load(sys.stdin):
        load(case.get("needs", ()))
        child = os.fork()
        if child == 0:
            become(case)
            end(command)
        statuses.append(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
    json.dump(statuses, sys.stdout)


if __name__ == "__main__":
    main()
