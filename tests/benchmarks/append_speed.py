"""What an acknowledged reading costs beside a bare commit: ``python -m tests.benchmarks.append_speed [rounds]``.

Within one run, on the same disk and with the same settings, each round stores one row by the bare sqlite3 module, one
reading by the log, and one streamed sample by the log. Printed are medians and ratios; the aim is 1.5 or less. On a
machine that is busy with other things all medians are the scheduler's: then look at p5, the quickest twentieth. Also
printed: what the import of sqlite-utils would add to the first reading if entries went through it.
"""

import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from commission.record.logged import Draft, Sample
from commission.record.payload import Payload
from commission.record.series_entries import SEAL_ROWS, seals_of
from tests.registered import open_log
from tests.storage.making import draft, reading, stream

AIM = 1.5


def bare(path: Path) -> Callable[[int], None]:
    """Return a function that commits one row of eleven columns with the settings of the log."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute(
        "CREATE TABLE row (seq INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE, build TEXT, kind TEXT, operator TEXT,"
        " wall_ms INTEGER, mono_ms INTEGER, boot_ms INTEGER, boot_id TEXT, body TEXT, digest TEXT) STRICT"
    )

    def commit(number: int) -> None:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute(
            "INSERT INTO row VALUES (?, ?, 'b1', 'reading taken', 'Ida', 1, 2, 3, 'start', ?, ?)",
            (number + 1, f"{number:032x}", "x" * 400, "d" * 64),
        )
        connection.execute("COMMIT")

    return commit


def timed(work: Callable[[int], object], number: int) -> float:
    """Return how long a piece of work takes [ms]."""
    start = time.perf_counter()
    work(number)
    return (time.perf_counter() - start) * 1000


def spawned(code: str) -> float:
    """Return the median time of a new interpreter with some code [ms]."""
    return statistics.median(
        timed(lambda _: subprocess.run([sys.executable, "-c", code], check=True), 0) for _ in range(5)
    )


def measure(folder: Path, rounds: int) -> dict[str, list[float]]:
    """Return the times of each way of storing, taken in turns [ms]."""
    log = open_log(folder / "x.logbook", holder="benchmark")

    def stamp(payload: Payload) -> Draft:
        return draft(payload, build=seals_of("s1"))

    drafts = [draft(reading()) for _ in range(rounds)]
    samples: list[Sample] = stream(rounds)
    ways: dict[str, Callable[[int], object]] = {
        "bare commit": bare(folder / "bare.db"),
        "reading": lambda number: log.append(drafts[number]),
        "sample": lambda number: log.add_samples("s1", [samples[number]], stamp=stamp),
    }
    times: dict[str, list[float]] = {name: [] for name in ways}
    for number in range(rounds):
        order = list(ways) if number % 2 else list(reversed(ways))
        for name in order:
            times[name].append(timed(ways[name], number))
    assert log.verify() == []
    log.close()
    # the first of each makes tables or fills caches
    return {name: values[5:] for name, values in times.items()}


def day(folder: Path) -> None:
    """Store, read and seal a day of samples at one a second, beside the bare statements for it."""
    rows = stream(86_400)
    log = open_log(folder / "day.logbook", holder="benchmark")
    log.add_samples("warm", rows[:1])
    connection = sqlite3.connect(folder / "day.db", isolation_level=None)
    connection.execute(
        "CREATE TABLE sample (s INT, n INT, a REAL, b INT, c REAL, d REAL, e REAL, f TEXT, PRIMARY KEY (s, n))"
    )
    values = [(1, n, row.elapsed_s, row.wall_ms, row.pressure_pa, None, None, row.typed) for n, row in enumerate(rows)]

    def bare_write(_: int) -> None:
        connection.execute("BEGIN IMMEDIATE")
        connection.executemany("INSERT INTO sample VALUES (?, ?, ?, ?, ?, ?, ?, ?)", values)
        connection.execute("COMMIT")

    written = timed(bare_write, 0)
    stored = timed(lambda _: log.add_samples("day", rows), 0)
    fetched = timed(lambda _: connection.execute("SELECT a, c, d, e FROM sample ORDER BY s, n").fetchall(), 0)
    read = timed(lambda _: log.samples("day"), 0)
    sealed = timed(lambda _: log.seal("day"), 0)
    print(
        f"86,400 samples: stored {stored:.0f} ms (bare {written:.0f}), read {read:.0f} ms (bare {fetched:.0f}),",
        end=" ",
    )
    print(f"sealed {sealed:.0f} ms")
    log.close()
    connection.close()


def main() -> None:
    """Measure and print."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as name:
        times = measure(Path(name), rounds)
        day(Path(name))
    bare_ms = statistics.median(times["bare commit"])
    bare_best = statistics.quantiles(times["bare commit"], n=20)[0]
    for name, values in times.items():
        best, *_, worst = statistics.quantiles(values, n=20)
        median = statistics.median(values)
        print(
            f"{name:12} median {median:7.3f} ms (ratio {median / bare_ms:4.2f})   "
            f"p5 {best:7.3f} ms (ratio {best / bare_best:4.2f})   p95 {worst:7.3f} ms   aim {AIM}"
        )
    empty, loaded = spawned("pass"), spawned("import sqlite_utils")
    mean = statistics.fmean(times["sample"]) / statistics.fmean(times["bare commit"])
    print(f"sample, seals and all: mean ratio {mean:4.2f}; one of {SEAL_ROWS} is sealed with those before it")
    print(f"sqlite-utils import adds {loaded - empty:.0f} ms, {(loaded - empty) / bare_ms:.0f} bare commits")


if __name__ == "__main__":
    main()
