"""A bundle of one build: its entries, its procedure, its readings; a logbook of its own, which another can merge."""

import sqlite3
from contextlib import closing
from pathlib import Path

from commission.base.errors import Damaged
from commission.record.entries import BuildOpened, ProcedureAdopted
from commission.record.face import Registry
from commission.record.logged import Head
from commission.record.record import PROCEDURES
from commission.record.series_entries import seals_of
from commission.storage import faults
from commission.storage.appending import append_inside, put_entry
from commission.storage.arrival import Stamp
from commission.storage.chain import next_digest, read_body
from commission.storage.exchange import lines_of
from commission.storage.files import write_new
from commission.storage.merge import Stored, stored_entries
from commission.storage.migrations import apply_steps
from commission.storage.renumber import Numbers, origins, renumbered, taken_over
from commission.storage.samples import add, chunks, ends
from commission.storage.seals import require_sound
from commission.storage.store import SqliteLog


def write_one_build(log: SqliteLog, build: str, stamp: Stamp, path: Path) -> Head:
    """Write a bundle of one build to a new file, whole and durable or not at all, and return its head.

    What the workshop shares is not in it: a plan and an amount hold the instrument and the bottle as they were.

    Raises
    ------
    FileError
        If something has that name already, or the file cannot be written.
    Damaged
        If the log is not sound.
    """
    with closing(sqlite3.connect("", isolation_level=None)) as connection, faults.reading():
        connection.execute("BEGIN")
        apply_steps(connection)
        head = _fill(connection, log, build, stamp)
        connection.execute("COMMIT")
        write_new(path, lines_of(connection, log.registry, head))
    return head


def _fill(target: sqlite3.Connection, log: SqliteLog, build: str, stamp: Stamp) -> Head:
    stored = list(stored_entries(log.connection, log.registry))
    head = Head(seq=stored[-1].entry.seq, digest=stored[-1].entry.digest)
    series = _series_of(log.registry, stored, build)
    streams = {build, *(seals_of(name) for name in series)}
    procedure = _procedure_of(stored, build)
    numbers, digest, seq = Numbers(), "", 0
    taken = []
    for one, origin in zip(stored, origins(head, [one.entry for one in stored]), strict=True):
        adopted = one.entry.payload
        wanted = isinstance(adopted, ProcedureAdopted) and adopted.digest == procedure
        if one.entry.build not in streams and not (wanted and one.entry.build == PROCEDURES):
            continue
        seq += 1
        numbers.put(one.entry.seq, seq)
        text = renumbered(one.text, seq, numbers, log.registry)
        digest = next_digest(digest, text)
        body, _ = read_body(text, log.registry)
        put_entry(target, body, text, digest)
        taken.append((seq, origin))
    for over in taken_over(taken):
        last = append_inside(target, stamp(over))
        seq, digest = last.seq, last.digest
    for name, count in ends(log.connection).items():
        if name in series:
            require_sound(log.connection, log.registry, name, None)
            for part in chunks(log.connection, name, count):
                add(target, name, part)
    return Head(seq=seq, digest=digest)


def _series_of(registry: Registry, stored: list[Stored], build: str) -> set[str]:
    found = (one.entry for one in stored if one.entry.build == build)
    begun = tuple(kinds.begun for kinds in registry.series)
    return {entry.payload.series for entry in found if isinstance(entry.payload, begun)}


def _procedure_of(stored: list[Stored], build: str) -> str:
    for one in stored:
        opened = one.entry.payload
        if one.entry.build == build and isinstance(opened, BuildOpened):
            return opened.procedure
    raise Damaged("the build was never opened; run commission verify")
