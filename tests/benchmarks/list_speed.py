"""What ``commission list`` costs, as ratios within one run: ``python -m tests.benchmarks.list_speed``.

Processes are started turn and turn about; the median of their processor time counts.

* one build against ``--help``: aim 2
* 200 builds against one, of which 20 stand on a page: aim 1.3

Each build is a sheet with a part, as most builds of a long list are told apart by their sheet. Then the same for builds
whose pressure hold was prepared, held and ended (30 entries each), and what runs now in 200 such builds, as the home
screen first asks, against decoding all their beginnings and ends.
"""

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from commission.__main__ import job
from commission.bench.running import may_run
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock
from tests.holds import ready_build, start_hold, type_hold
from tests.registered import open_logbook
from tests.shell.running import command, environment

RUNS = 11
BUILDS = 200
HELP_AIM = 2.0
MANY_AIM = 1.3
MEMORY = Path("/dev/shm")
"""Thousands of durable entries would wait for the disk."""


def workshop(path: Path, builds: int, *, held: bool) -> Path:
    """Make a logbook of so many builds and return its path."""
    clock = HandClock()
    book = open_logbook(path, clock=clock).book
    for number in range(builds):
        build = ready_build(book, f"Loop {number}")
        if held:
            start_hold(book, build)
            type_hold(book, clock, build, start_mbar=500, fall_mbar=0)
            book.work(Holds).close(build, Ending.BY_HAND)
    book.close()
    return path


def processor_ms(*arguments: str) -> float:
    """Return how much of the processor a process of the program takes to its end [ms]."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command(*arguments), env=environment(), stdout=subprocess.DEVNULL, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return 1000 * (after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)


def medians(*calls: Callable[[], float]) -> list[float]:
    """Return the median of each call, made turn and turn about."""
    for call in calls:
        call()
    rounds = [[call() for call in calls] for _ in range(RUNS)]
    return [statistics.median(column) for column in zip(*rounds, strict=True)]


def compared(folder: Path, *, held: bool) -> bool:
    """Print both ratios for one sort of build; return whether they are within the aims."""
    sort = "held" if held else "opened"
    one = workshop(folder / f"one {sort}", 1, held=held)
    many = workshop(folder / f"many {sort}", BUILDS, held=held)
    helped, single, page = medians(
        lambda: processor_ms("--help"),
        lambda: processor_ms("list", "--logbook", str(one)),
        lambda: processor_ms("list", "--logbook", str(many)),
    )
    print(
        f"list, one build {sort} / --help: {single:.0f} ms / {helped:.0f} ms = {single / helped:.2f} (aim {HELP_AIM})"
    )
    print(f"list, {BUILDS} / one build {sort}: {page:.0f} ms / {single:.0f} ms = {page / single:.2f} (aim {MANY_AIM})")
    return single <= HELP_AIM * helped and page <= MANY_AIM * single


def running(path: Path) -> None:
    """Print what the home screen's first look at what runs takes."""
    spent = []
    for _ in range(RUNS):
        book = open_logbook(path, read_only=True).book
        began = time.process_time()
        assert may_run(book, job().stages()) == []
        spent.append(1000 * (time.process_time() - began))
        book.close()
    print(f"what runs now in {BUILDS} builds held: {statistics.median(spent):.1f} ms")


def main() -> int:
    """Print all; return 0 if the short builds are within both aims."""
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as name:
        folder = Path(name)
        good = compared(folder, held=False)
        compared(folder, held=True)
        running(folder / "many held")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
