"""Files that are meant to fill the memory: each is one line, within 300 MB more than the program has at its start."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.shell.running import environment, one_line

ROOM = 300 * 1024 * 1024
"""What reading any file may take [bytes of address space]."""

CHILD = """
import resource, sys
from commission.__main__ import job
from commission.shell.main import exit_status
import commission.stages.fan_headers.files.layout_toml
import commission.bootstrap, commission.procedure.load, commission.storage.exchange
import commission.stages.pressure_hold.shell.judge, commission.shell.calc, commission.shell.exchange
with open("/proc/self/statm", encoding="ascii") as statm:
    pages = int(statm.read().split()[0])
most = pages * resource.getpagesize() + int(sys.argv[1])
resource.setrlimit(resource.RLIMIT_AS, (most, most))
if sys.argv[2] == "procedure":
    from commission.base.errors import CommissionError
    from commission.procedure.load import load_procedure
    try:
        load_procedure(open(sys.argv[3], encoding="utf-8").read())
    except CommissionError as error:
        sys.stderr.write(f"{error}\\n")
        sys.exit(2)
    sys.exit(0)
sys.exit(exit_status(sys.argv[2:], job()))
"""


def dots(size: int) -> str:
    """One key of so many characters."""
    return "a." * (size // 2) + "a = 1\n"


def many_dots(size: int) -> str:
    """Keys with all the parts that a key may have."""
    line = "a{0}.b.c.d = 1\n"
    return "".join(line.format(n) for n in range(size // 16))


LAYOUT = ("calc", "layout")
HOLD = ("judge", "hold")
SWEEP = ("judge", "sweep")
HEADER = '{"bundle":"commission logbook","version":1}\n'
FILES: dict[str, tuple[tuple[str, ...], Callable[[], str]]] = {
    "20 kB of dots": (LAYOUT, lambda: dots(20_000)),
    "200 kB of dots": (LAYOUT, lambda: dots(200_000)),
    "99 kB of keys within the bounds": (LAYOUT, lambda: many_dots(99_000)),
    "99 kB of brackets": (LAYOUT, lambda: "x = " + "[" * 99_000),
    "tables without end": (LAYOUT, lambda: "".join(f"[a{n}.b.c.d]\n" for n in range(6_000))),
    "1 MB": (LAYOUT, lambda: "#" * 1_000_000),
    "a procedure of dots": (("procedure",), lambda: dots(490_000)),
    "a procedure of keys within the bounds": (("procedure",), lambda: many_dots(490_000)),
    "a procedure of brackets": (("procedure",), lambda: "x = " + "[" * 490_000),
    "a hold with a novel in each row": (
        HOLD,
        lambda: "elapsed [s],gauge [mbar],note\n" + "".join(f"{n},500.0,{'x' * 60_000}\n" for n in range(2_000)),
    ),
    "a hold with a note in each row": (
        HOLD,
        lambda: "elapsed [s],gauge [mbar],note\n" + "".join(f"{n},500.0,seen {n}\n" for n in range(1_000_000)),
    ),
    "a hold in one line": (HOLD, lambda: "elapsed [s],gauge [mbar]\n" + "1," * 20_000_000),
    "a sweep with long cells": (
        SWEEP,
        lambda: "duty [%],speed [rpm]\n" + "".join(f"50,1500{' ' * 9_000}\n" for _ in range(30_000)),
    ),
    "a sweep with a header of commas": (SWEEP, lambda: "," * 60_000 + "\n"),
    "a bundle of empty lists": (("import",), lambda: HEADER + "[" + "[]," * 2_700_000 + "[]]\n"),
    "a bundle of empty objects": (("import",), lambda: HEADER + "[" + "{}," * 2_700_000 + "{}]\n"),
    "a bundle of keys": (
        ("import",),
        lambda: HEADER + "{" + ",".join(f'"{n}":1' for n in range(800_000)) + "}\n",
    ),
    "a bundle of the same key": (
        ("import",),
        lambda: HEADER + "{" + ",".join(f'"{n}":1' for n in range(190_000)) + ',"189999":1}\n',
    ),
    "a bundle in one line": (("import",), lambda: HEADER + "x" * 60_000_000),
    "a bundle of deep brackets": (("import",), lambda: HEADER + "[" * 150_000),
}


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the address space is counted as Linux does")
@pytest.mark.parametrize("what", FILES)
def test_a_file_that_is_meant_to_fill_the_memory_is_one_line(tmp_path: Path, what: str) -> None:
    arguments, text = FILES[what]
    path = tmp_path / "wild"
    path.write_text(text(), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", CHILD, str(ROOM), *arguments, str(path)],
        env=environment(tmp_path / "new.logbook", {"OPENBLAS_NUM_THREADS": "1"}),
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 2, done.stderr[-500:]
    assert "memory" not in one_line(done.stderr).lower()
    assert len(done.stderr) < 600
