"""What was acknowledged survives a kill at any moment, and typing the last entry again never doubles it.

SIGKILL leaves the page cache alone: this shows atomicity and recovery. That acknowledged entries also survive a power
cut is shown by tests/benchmarks/power_cut.py, run by hand.
"""

import contextlib
import random
import sys
import time
from multiprocessing.connection import Connection
from pathlib import Path

import pytest

from commission.record.entries import NoteAdded
from commission.storage.store import SqliteLog
from tests.faults.children import hold_the_lock, numbered, start, write_until_killed
from tests.registered import open_log
from tests.storage.making import draft, started

pytestmark = [
    pytest.mark.faults,
    pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there"),
]

SEED = 20_261_125
KILLS = 60
MOST_ACKS = 8
"""So many times a writer may have been answered before it is killed."""
ONE_ENTRY_S = 0.004
"""Longer than the writer takes for an entry where nothing else runs [s]: the kill falls anywhere within one."""


def test_nothing_acknowledged_is_lost_or_doubled_by_a_kill(tmp_path: Path) -> None:
    rng = random.Random(SEED)
    path = tmp_path / "x.logbook"
    log = open_log(path, holder="tests")
    entries = log.append(draft(started("s"))).seq  # readings belong to a hold
    log.close()
    samples = 0
    for kill in range(KILLS):
        acked_entries, acked_samples, acks = _killed(path, f"k{kill}", rng)
        log = open_log(path, holder="tests")
        assert log.read_only_because == "", f"seed {SEED}, kill {kill}"
        assert log.head().seq >= acked_entries
        assert len(log.samples("s").elapsed_s) >= max(samples, acked_samples)
        _look(log, f"k{kill}", entries, acks, f"seed {SEED}, kill {kill}")
        assert log.verify() == [], f"seed {SEED}, kill {kill}"
        entries, samples = log.head().seq, len(log.samples("s").elapsed_s)
        log.close()
    assert entries > KILLS, "the writers never came to write"
    assert samples % 4 == 0, "half a batch of samples was kept"


def _killed(path: Path, name: str, rng: random.Random) -> tuple[int, int, int]:
    """Let a child write, kill it some time after some acknowledgements, and return what it had acknowledged.

    Counted and not only timed: how much it has written by then depends on the disk.
    """
    process, pipe = start(write_until_killed, path, name)
    first = [pipe.recv_bytes() for _ in range(rng.randint(1, MOST_ACKS))]
    time.sleep(rng.uniform(0.0, ONE_ENTRY_S))
    process.kill()
    process.join()
    lines = [*first, *_rest(pipe)]
    numbers = {
        kind: [int(line.split()[1]) for line in lines if line.startswith(kind)] for kind in (b"entry", b"samples")
    }
    return max(numbers[b"entry"]), max(numbers[b"samples"], default=0), len(numbers[b"entry"])


def _rest(pipe: Connection) -> list[bytes]:
    lines = []
    with contextlib.suppress(EOFError, OSError):
        while True:
            lines.append(pipe.recv_bytes())
    pipe.close()
    return lines


def _look(log: SqliteLog, name: str, before: int, acks: int, hint: str) -> None:
    """Every acknowledged entry stands there, and at most one more; the last typed again, each stands there once.

    Whoever saw no confirmation types it again, whether it was stored or not.
    """
    assert log.head().seq - before in {acks, acks + 1}, hint
    log.append(numbered(name, acks))
    entries = log.entries()
    new = [entry.payload for entry in entries[before:]]
    assert new == [NoteAdded(text=f"{name} note {number}") for number in range(acks + 1)], hint
    texts = [entry.payload.text for entry in entries if isinstance(entry.payload, NoteAdded)]
    assert len(texts) == len(set(texts)), hint


def test_a_killed_window_keeps_nobody_out(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    process, pipe = start(hold_the_lock, path)
    assert pipe.recv() == ""
    second = open_log(path, holder="tests")
    assert f"commission 9.9 (process {process.pid} on " in second.read_only_because
    second.close()
    process.kill()
    process.join()
    third = open_log(path, holder="tests")
    assert third.read_only_because == ""
    assert third.append(numbered("third", 1)).seq == 1
    third.close()


def test_a_window_that_is_closed_lets_the_next_one_write(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    process, pipe = start(hold_the_lock, path)
    assert pipe.recv() == ""
    pipe.send("close")
    process.join()
    log = open_log(path, holder="tests")
    assert log.read_only_because == ""
    other, pipe = start(hold_the_lock, path)
    assert pipe.recv().startswith("tests (process ")
    pipe.send("close")
    other.join()
    log.close()


def test_of_many_windows_opened_at_once_one_writes(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    children = [start(hold_the_lock, path) for _ in range(6)]
    answers = [pipe.recv() for _, pipe in children]
    assert sum(answer == "" for answer in answers) == 1, answers
    assert sum("is writing to this logbook" in answer for answer in answers) == 5, answers
    for process, pipe in children:
        pipe.send("close")
        process.join()
