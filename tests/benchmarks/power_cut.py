"""Does what was acknowledged survive a power cut? ``python -m tests.benchmarks.power_cut [states per point]``.

Needs Linux and strace. The real program runs once under strace, which records each write, truncation, sync, creation
and removal in the folder of the logbook, and each acknowledgement. Then, for each point in that record, disks are made
as a cut at that moment might leave them: everything synchronised is there; of the rest any part may be, writes torn
at 512 bytes. In one model a name in the folder survives only if the folder was synchronised, in the other also if the
file itself was. Each disk is opened by the program, which must find every acknowledged entry and sample, an unbroken
chain and no half import.

The method is that of SQLite's own crash tests ("How SQLite Is Tested", section 3.3) and of Pillai et al., "All File
Systems Are Not Created Equal" (OSDI 2014). The last two runs are sabotage: with synchronous=FULL the last entry, with
OFF much more must get lost, else this test could not fail.
"""

import itertools
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from commission.base.errors import CommissionError, FileError
from tests.registered import open_log_for_reading

SEED = 20_261_125
SECTOR = 512
NAMES = ("x.logbook", "x.logbook-journal", "y.logbook", "y.logbook-journal")
CALL = re.compile(r"^(?:\d+ +)?(\w+)\((.*)\) += (-?\d+)")
TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')

WORKLOAD = """
import os, sys
from pathlib import Path
from commission.storage import connection
from commission.storage.exchange import export_bundle
from tests.registered import import_bundle
from tests.registered import open_log
from tests.storage.making import draft, reading, started, stream

folder, level = Path(sys.argv[1]), sys.argv[2]
if level != "EXTRA":
    connection._make_durable = lambda made: made.execute(f"PRAGMA synchronous = {level}")
log = open_log(folder / "x.logbook", holder="power cut")
held = 0

def ack(word):
    os.write(1, f"{word} {log.head().seq} {held}\\n".encode())

for number in range(10):
    log.append(draft(reading()))
    ack("stored")
log.append(draft(started()))
ack("stored")
for number in range(4):
    held = log.add_samples("s1", stream(1 + 60 * (number == 2), first=held))
    ack("stored")
log.close()
log = open_log(folder / "x.logbook", holder="power cut")
for number in range(3):
    log.append(draft())
    ack("stored")
import_bundle(list(export_bundle(log)), folder / "y.logbook")
ack("imported")
log.append(draft())
ack("stored")
"""


@dataclass(eq=False)
class File:
    """A file as it is on the disk for certain, and what was done to it since."""

    safe: bytes = b""
    pending: list[tuple[int, bytes]] = field(default_factory=list)
    """Writes as (offset, data); a truncation as (length, b"")."""
    birth: int = field(default_factory=itertools.count().__next__)
    """Later files have larger numbers."""

    def whole(self) -> bytes:
        return after(self.safe, self.pending)


@dataclass
class Disk:
    """The folder: names that are there for certain, and what was done to names since."""

    safe: dict[str, File] = field(default_factory=dict)
    pending: list[tuple[str, File | None, File | None]] = field(default_factory=list)
    """A name with the file that it got, or with None and the file that lost it."""
    now: dict[str, File] = field(default_factory=dict)
    acked: tuple[int, int] = (0, 0)
    imported: bool = False


def after(data: bytes, changes: list[tuple[int, bytes]]) -> bytes:
    """Return the content after some changes."""
    made = bytearray(data)
    for offset, new in changes:
        if not new:
            del made[offset:]
            continue
        made.extend(bytes(max(0, offset - len(made))))
        made[offset : offset + len(new)] = new
    return bytes(made)


def rename(names: dict[str, File], name: str, gets: File | None, lost: File | None) -> None:
    """Give a name to a file, or take it from the one that had it; a later file of that name keeps it."""
    if gets is not None:
        names[name] = max(gets, names.get(name, gets), key=lambda file: file.birth)
    elif names.get(name) is lost:
        names.pop(name, None)


def torn(changes: list[tuple[int, bytes]], rng: random.Random) -> list[tuple[int, bytes]]:
    """Return what survives of changes that were not synchronised: all, none or some, in whole sectors."""
    share = rng.choice([0.0, 0.1, 0.5, 0.9, 1.0])
    found = []
    for offset, new in changes:
        parts = [(offset + at, new[at : at + SECTOR]) for at in range(0, len(new), SECTOR)] or [(offset, new)]
        found += [part for part in parts if rng.random() < share]
    return found


def record(level: str) -> list[tuple[str, list[str]]]:
    """Run the workload under strace and return its system calls with their arguments."""
    with tempfile.TemporaryDirectory() as name:
        folder, trace = Path(name) / "disk", Path(name) / "trace"
        folder.mkdir()
        calls = "trace=openat,close,write,pwrite64,ftruncate,fsync,fdatasync,unlink,unlinkat,rename,renameat2"
        subprocess.run(
            ["strace", "-f", "-xx", "-s", "10000000", "-e", calls, "-o", str(trace),
             sys.executable, "-c", WORKLOAD, str(folder), level],
            check=True, stdout=subprocess.DEVNULL,
        )  # fmt: skip
        found = []
        for line in trace.read_text().splitlines():
            if (match := CALL.match(line)) and int(match[3]) >= 0:
                found.append((match[1], [str(folder), match[2], match[3]]))
        return found


def decoded(arguments: str) -> bytes:
    """Return the first text among the arguments of a call."""
    match = TEXT.search(arguments)
    return bytes.fromhex(match[1].replace("\\x", "")) if match else b""


class Replay:
    """Follows the record call by call."""

    def __init__(self, *, file_sync_keeps_name: bool) -> None:
        self.disk = Disk()
        self._open: dict[int, File | None] = {}
        self._keeps_name = file_sync_keeps_name

    def step(self, call: str, folder: str, arguments: str, result: int) -> bool:
        """Carry out a call; return whether the disk or what was acknowledged changed."""
        handle = int(arguments.split(",", maxsplit=1)[0]) if arguments[:1].isdigit() else -1
        file = self._open.get(handle)
        match call:
            case "openat" | "unlink" | "unlinkat":
                return self._name(call, folder, arguments, result)
            case "close":
                self._open.pop(handle, None)
                return False
            case "write" if handle == 1:
                word, seq, held = decoded(arguments).split()
                self.disk.acked = (int(seq), int(held))
                self.disk.imported |= word == b"imported"
            case "pwrite64" if file is not None:
                file.pending.append((int(arguments.rsplit(",", 1)[1]), decoded(arguments)))
            case "ftruncate" if file is not None:
                file.pending.append((int(arguments.rsplit(",", 1)[1]), b""))
            case "fsync" | "fdatasync" if handle in self._open:
                self._synchronise(file)
            case "write" | "rename" | "renameat2" if file is not None:
                raise AssertionError(f"{call} is not modelled")
            case _:
                return False
        return True

    def _name(self, call: str, folder: str, arguments: str, result: int) -> bool:
        path = Path(decoded(arguments).decode())
        disk = self.disk
        if call == "openat" and str(path) == folder:
            self._open[result] = None
        if str(path.parent) != folder or path.name not in NAMES:
            return False
        if call != "openat":
            disk.pending.append((path.name, None, disk.now.pop(path.name)))
            return True
        if new := path.name not in disk.now:
            disk.now[path.name] = File()
            disk.pending.append((path.name, disk.now[path.name], None))
        assert "O_TRUNC" not in arguments
        self._open[result] = disk.now[path.name]
        return new

    def _synchronise(self, file: File | None) -> None:
        disk = self.disk
        kept = [change for change in disk.pending if file is None or (self._keeps_name and change[1] is file)]
        for change in kept:
            rename(disk.safe, *change)
        disk.pending = [change for change in disk.pending if change not in kept]
        if file is not None:
            file.safe, file.pending = file.whole(), []


def cut(disk: Disk, rng: random.Random, folder: Path) -> None:
    """Write into a folder what a cut at this moment might leave."""
    names = dict(disk.safe)
    share = rng.choice([0.0, 0.5, 1.0])
    for change in disk.pending:
        if rng.random() < share:
            rename(names, *change)
    for old in folder.iterdir():
        old.unlink()
    for name, file in names.items():
        (folder / name).write_bytes(after(file.safe, torn(file.pending, rng)))


def judge(folder: Path, disk: Disk) -> str:
    """Return ``sound``, ``lost`` or ``corrupt``."""
    seq, held = _held(folder / "x.logbook")
    if seq < 0:
        return "corrupt"
    copied, _ = _held(folder / "y.logbook")
    if copied not in {0, 14}:
        return "corrupt"
    if seq < disk.acked[0] or held < disk.acked[1] or (disk.imported and not copied):
        return "lost"
    return "sound"


def _held(path: Path) -> tuple[int, int]:
    """Return how many entries and samples a logbook holds; -1 where it is not sound."""
    try:
        log = open_log_for_reading(path)
    except FileError:
        return 0, 0
    except CommissionError:
        return -1, 0
    try:
        return (-1, 0) if log.verify() else (len(log.entries()), log.seal("s1").count)
    except CommissionError:
        return -1, 0
    finally:
        log.close()


def run(calls: list[tuple[str, list[str]]], states: int, *, file_sync_keeps_name: bool) -> Counter[str]:
    """Return how many disks were sound, had lost something, or were corrupt."""
    rng = random.Random(SEED)
    found: Counter[str] = Counter()
    replay = Replay(file_sync_keeps_name=file_sync_keeps_name)
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as name:
        for call, (folder, arguments, result) in calls:
            if replay.step(call, folder, arguments, int(result)):
                for _ in range(states):
                    cut(replay.disk, rng, Path(name))
                    found[judge(Path(name), replay.disk)] += 1
    assert replay.disk.acked == (15, 64), replay.disk.acked
    assert replay.disk.imported
    return found


def main() -> None:
    """Run all levels in both models and print what got lost; exit with 1 if EXTRA lost anything or OFF lost nothing."""
    if shutil.which("strace") is None:
        sys.exit("strace is needed")
    states = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    print(f"seed {SEED}, {states} disks a point")
    fine = True
    for level in ("EXTRA", "FULL", "OFF"):
        calls = record(level)
        for keeps in (False, True):
            found = run(calls, states if level == "EXTRA" else max(1, states // 4), file_sync_keeps_name=keeps)
            model = "file sync keeps its name" if keeps else "only folder sync keeps names"
            bad = found["lost"] + found["corrupt"]
            print(
                f"{level:5}  {model:29}  disks {found.total():6}  lost {found['lost']:5}  corrupt {found['corrupt']:5}",
                flush=True,
            )
            fine &= bad > 0 if level == "OFF" else level == "FULL" or bad == 0
    sys.exit(0 if fine else 1)


if __name__ == "__main__":
    main()
