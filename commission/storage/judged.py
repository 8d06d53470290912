"""The verdicts of a logbook that comes in, judged again through its connection."""

import sqlite3
from collections.abc import Callable, Container, Iterable

from commission.base.errors import FileError
from commission.record.again import Again
from commission.record.face import Registry
from commission.record.logged import Logged, SampleColumns
from commission.storage import samples
from commission.storage.merge import stored_entries

JudgeAgain = Callable[[Iterable[Logged], Callable[[str], SampleColumns], Container[int] | None], Again]
"""Judges the verdicts of entries again, given what returns the samples of a series, and which entries; None: all."""


def judged_again(
    connection: sqlite3.Connection, registry: Registry, judge: JudgeAgain, wanted: Container[int] | None = None
) -> Again:
    """Return what came of judging again; nothing is read where no entry holds a verdict that can be."""
    kinds = [kind.KIND for kind in registry.judged]
    marks = ",".join("?" for _ in kinds)
    any_of = f"SELECT 1 FROM entry WHERE kind IN ({marks}) LIMIT 1"  # noqa: S608 - only question marks
    if connection.execute(any_of, kinds).fetchone() is None:
        return Again()
    entries = (one.entry for one in stored_entries(connection, registry))
    return judge(entries, lambda series: samples.columns(connection, series), wanted)


def judging(
    registry: Registry, judge: JudgeAgain, tell: Callable[[str], object]
) -> Callable[[sqlite3.Connection], None]:
    """Return what judges all that a connection leads to and tells what is to be told.

    It raises FileError with the first verdict that says more than what stands before it, and how many there are.
    """

    def look(connection: sqlite3.Connection) -> None:
        again = judged_again(connection, registry, judge)
        if again.refusals:
            more = len(again.refusals) - 1
            raise FileError(f"{again.refusals[0]}{f'; {more} more, which --dry-run tells' if more else ''}")
        for line in again.told:
            tell(line)

    return look
