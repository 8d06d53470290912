"""Files that are meant to fill the memory: each is one line, within 300 MB more than the program has at its start."""

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.shell.running import environment, one_line

ROOM = 300 * 1024 * 1024
"""What reading any file may take [bytes of address space]."""

CHILD = """
import json, os, resource, sys
from commission.__main__ import job
from commission.shell.main import exit_status
import commission.stages.fan_headers.files.layout_toml
import commission.bootstrap, commission.procedure.load, commission.storage.exchange
import commission.stages.pressure_hold.shell.judge, commission.shell.calc, commission.shell.exchange
from commission.base.errors import CommissionError
from commission.procedure.load import load_procedure

def read(arguments):
    if arguments[0] != "procedure":
        return exit_status(arguments, job())
    try:
        load_procedure(open(arguments[1], encoding="utf-8").read())
    except CommissionError as error:
        sys.stderr.write(f"{error}\\n")
        return 2
    return 0

def end(arguments, told):
    with open("/proc/self/statm", encoding="ascii") as statm:
        pages = int(statm.read().split()[0])
    most = pages * resource.getpagesize() + int(sys.argv[1])
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    os.dup2(os.open(told, os.O_WRONLY), 2)
    try:
        status = read(arguments)
    except BaseException as error:
        sys.stderr.write(f"{type(error).__name__}: {error}\\n")
        status = 1
    sys.stderr.flush()
    os._exit(status)

for line in sys.stdin:
    child = os.fork()
    if child == 0:
        end(*json.loads(line))
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""
"""Reads each file that is named to it in a process of its own, which is forked: none imports all of it."""


def dots(size: int) -> bytes:
    """One key of so many characters."""
    return b"a." * (size // 2) + b"a = 1\n"


def many_dots(size: int) -> bytes:
    """Keys with all the parts that a key may have."""
    return b"".join(b"a%d.b.c.d = 1\n" % n for n in range(size // 16))


LAYOUT = ("calc", "layout")
HOLD = ("judge", "hold")
SWEEP = ("judge", "sweep")
NOVEL = b"x" * 60_000
HEADER = b'{"bundle":"commission logbook","version":1}\n'
FILES: dict[str, tuple[tuple[str, ...], Callable[[], bytes]]] = {
    "20 kB of dots": (LAYOUT, lambda: dots(20_000)),
    "200 kB of dots": (LAYOUT, lambda: dots(200_000)),
    "99 kB of keys within the bounds": (LAYOUT, lambda: many_dots(99_000)),
    "99 kB of brackets": (LAYOUT, lambda: b"x = " + b"[" * 99_000),
    "tables without end": (LAYOUT, lambda: b"".join(b"[a%d.b.c.d]\n" % n for n in range(6_000))),
    "1 MB": (LAYOUT, lambda: b"#" * 1_000_000),
    "a procedure of dots": (("procedure",), lambda: dots(490_000)),
    "a procedure of keys within the bounds": (("procedure",), lambda: many_dots(490_000)),
    "a procedure of brackets": (("procedure",), lambda: b"x = " + b"[" * 490_000),
    "a hold with a novel in each row": (
        HOLD,
        lambda: b"elapsed [s],gauge [mbar],note\n" + b"".join(b"%d,500.0,%b\n" % (n, NOVEL) for n in range(2_000)),
    ),
    "a hold with a note in each row": (
        HOLD,
        lambda: b"elapsed [s],gauge [mbar],note\n" + b"".join(b"%d,500.0,seen %d\n" % (n, n) for n in range(1_000_000)),
    ),
    "a hold in one line": (HOLD, lambda: b"elapsed [s],gauge [mbar]\n" + b"1," * 20_000_000),
    "a sweep with long cells": (
        SWEEP,
        lambda: b"duty [%],speed [rpm]\n" + (b"50,1500" + b" " * 9_000 + b"\n") * 30_000,
    ),
    "a sweep with a header of commas": (SWEEP, lambda: b"," * 60_000 + b"\n"),
    "a bundle of empty lists": (("import",), lambda: HEADER + b"[" + b"[]," * 2_700_000 + b"[]]\n"),
    "a bundle of empty objects": (("import",), lambda: HEADER + b"[" + b"{}," * 2_700_000 + b"{}]\n"),
    "a bundle of keys": (
        ("import",),
        lambda: HEADER + b"{" + b",".join(b'"%d":1' % n for n in range(800_000)) + b"}\n",
    ),
    "a bundle of the same key": (
        ("import",),
        lambda: HEADER + b"{" + b",".join(b'"%d":1' % n for n in range(190_000)) + b',"189999":1}\n',
    ),
    "a bundle in one line": (("import",), lambda: HEADER + b"x" * 60_000_000),
    "a bundle of deep brackets": (("import",), lambda: HEADER + b"[" * 150_000),
}


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the address space is counted as Linux does")
def test_a_file_that_is_meant_to_fill_the_memory_is_one_line(tmp_path: Path) -> None:
    wild, told = tmp_path / "wild", tmp_path / "told"
    with subprocess.Popen(
        [sys.executable, "-c", CHILD, str(ROOM)],
        env=environment(tmp_path / "new.logbook", {"OPENBLAS_NUM_THREADS": "1"}),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        bufsize=1,
    ) as reading:
        assert reading.stdin is not None
        assert reading.stdout is not None
        for what, (arguments, text) in FILES.items():
            wild.write_bytes(text())
            told.write_bytes(b"")
            reading.stdin.write(json.dumps([[*arguments, str(wild)], str(told)]) + "\n")
            status, line = reading.stdout.readline(), told.read_text(encoding="utf-8")
            assert status == "2\n", (what, line[-500:])
            assert "memory" not in one_line(line).lower(), what
            assert len(line) < 600, what
