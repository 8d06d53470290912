"""The readings of each series as they were when they were first asked for, looked through against their seals."""

from collections.abc import Callable, Iterator

from commission.storage import faults, samples
from commission.storage.samples import Row
from commission.storage.seals import require_sound
from commission.storage.store import SqliteLog


def series_reader(log: SqliteLog) -> Callable[[str], Iterator[Row]]:
    """Return what yields the readings of a series, as many as there are now, some read at a time.

    While they are yielded, Damaged is raised where they are not as they were sealed.
    """
    with faults.reading():
        ends = samples.ends(log.connection) if log.has_tables() else {}

    def rows(series: str) -> Iterator[Row]:
        if series not in ends:
            return
        with faults.reading():
            require_sound(log.connection, log.registry, series, None)
            for part in samples.chunks(log.connection, series, ends[series]):
                yield from part

    return rows
