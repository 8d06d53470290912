"""Logbooks of a program that has the invented stage, and of one that has not."""

from pathlib import Path

from commission.procedure.model import When
from commission.record.logbook import Logbook
from tests.holds import ready_build
from tests.registered import open_logbook
from tests.toy_stage.job import toy_job
from tests.toy_stage.work import Filters


def new_book(path: Path) -> Logbook:
    """Open a logbook with the invented stage."""
    return toy_job().open(path).book


def old_book(path: Path) -> Logbook:
    """Open it with a program that does not know the stage."""
    return open_logbook(path).book


def filtered(book: Logbook, name: str = "Blue Heron") -> str:
    """Return a build whose filters passed."""
    build_id, filters = ready_build(book, name), book.work(Filters)
    book.override(build_id, "pressure_hold", "the loop was proved on another bench")
    filters.print_cautions(build_id, When.BEFORE_PLUGGING)
    filters.seat(build_id, "front", 0.0008)
    filters.seat(build_id, "top", 0.0004)
    filters.close(build_id)
    return build_id
