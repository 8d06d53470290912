"""Import of a million readings against a bare ``executemany`` of the same rows, and a merge against two imports.

By hand: ``python -m tests.benchmarks.exchange_speed [READINGS]``. Processor time; each figure is the best of three.
"""

import resource
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from commission.bootstrap import import_bundle, merge_logbook
from commission.record.entries import NoteAdded
from commission.record.logged import Sample
from commission.storage import samples
from commission.storage.exchange import write_bundle
from tests.holds import ready_build, start_hold
from tests.registered import REGISTRY, open_log_for_reading, open_logbook

SEAL_EVERY = 2000
"""Readings a call: the program seals what one call brings."""


def _logbook(path: Path, readings: int, notes: int = 0) -> None:
    book = open_logbook(path).book
    build = ready_build(book)
    start_hold(book, build)
    series = next(str(e.payload.series) for e in book.entries(build) if hasattr(e.payload, "series"))
    for first in range(0, readings, SEAL_EVERY):
        rows = [
            Sample(elapsed_s=float(n), wall_ms=1_790_000_000_000 + 1000 * n, pressure_pa=50_000.0 - n % 97,
                   air_k=None, barometer_pa=None, typed=f"{n},{500 - n % 97 / 100}")
            for n in range(first, min(first + SEAL_EVERY, readings))
        ]  # fmt: skip
        book.record_samples(series, rows)
    for number in range(notes):
        book.record(build, NoteAdded(text=f"note {number}"))
    book.close()


def _bundle(logbook: Path, path: Path) -> None:
    log = open_log_for_reading(logbook)
    write_bundle(log, path)
    log.close()


def _best(work: Callable[[], None], times: int = 3) -> float:
    found = []
    for _ in range(times):
        begun = time.process_time()
        work()
        found.append(time.process_time() - begun)
    return min(found)


def _bare(rows: list[samples.Row], folder: Path) -> None:
    path = folder / "bare"
    path.unlink(missing_ok=True)
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute(
        "CREATE TABLE sample (series INTEGER NOT NULL, n INTEGER NOT NULL, elapsed_s REAL NOT NULL, wall_ms INTEGER NOT"
        " NULL, pressure_pa REAL, air_k REAL, barometer_pa REAL, typed TEXT NOT NULL, PRIMARY KEY (series, n)) STRICT,"
        " WITHOUT ROWID"
    )
    connection.execute("BEGIN")
    connection.executemany(
        "INSERT INTO sample VALUES (1, ?, ?, ?, ?, ?, ?, ?)", ((n, *row) for n, row in enumerate(rows, 1))
    )
    connection.execute("COMMIT")
    connection.close()


def _import(bundle: Path, target: Path) -> None:
    target.unlink(missing_ok=True)
    import_bundle(bundle, target, REGISTRY)


def _of_an_import(folder: Path, readings: int) -> None:
    _logbook(folder / "long.logbook", readings)
    _bundle(folder / "long.logbook", folder / "long.jsonl")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    imported = _best(lambda: _import(folder / "long.jsonl", folder / "again.logbook"))
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    log = open_log_for_reading(folder / "again.logbook")
    ((name, count),) = samples.ends(log.connection).items()
    rows = samples.rows(log.connection, name, 1, count)
    log.close()
    bare = _best(lambda: _bare(rows, folder))
    print(
        f"import of {count} readings / bare executemany: {imported / bare:.2f} (aim 3); "
        f"{imported:.2f} s of {bare:.2f} s; at most {most:.0f} MB (aim 300; {before / 1024:.0f} before)"
    )


def _of_a_merge(folder: Path) -> None:
    _logbook(folder / "here.logbook", 20_000, notes=2000)
    _bundle(folder / "here.logbook", folder / "here.jsonl")
    import_bundle(folder / "here.jsonl", folder / "there.logbook", REGISTRY)
    there = open_logbook(folder / "there.logbook").book
    for number in range(2000):
        there.add_note(there.find_build("Blue Heron"), f"there {number}")
    there.close()
    _bundle(folder / "there.logbook", folder / "there.jsonl")

    def both_imported() -> None:
        for name in ("here", "there"):
            _import(folder / f"{name}.jsonl", folder / "x.logbook")

    both = _best(both_imported)

    def merge() -> None:
        target = folder / "merged.logbook"
        target.write_bytes((folder / "here.logbook").read_bytes())
        merge_logbook(folder / "there.jsonl", target, REGISTRY, "", dry=False)

    merged = _best(merge)
    print(f"merge / import of both: {merged / both:.2f} (aim 2); {merged:.2f} s of {both:.2f} s")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        _of_an_import(Path(made), int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
        _of_a_merge(Path(made))
