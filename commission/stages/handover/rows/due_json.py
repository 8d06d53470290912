"""What is due, as plain data for programs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.bench.moment import rfc3339
from commission.stages.handover.judge.due import days_left
from commission.stages.handover.model import ServiceItem
from commission.stages.handover.rows.figures import left_text
from commission.stages.handover.state import HandoverState
from commission.stages.handover.work.years import due_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.logbook import Logbook


class DueTold(Frozen):
    """Something that is due on a machine."""

    build: str
    """The machine."""
    owner: str
    """Who has it."""
    item: ServiceItem
    """What is due."""
    due: str
    """When, RFC 3339."""
    days_left: int
    """In so many days by the calendar; below 0 where it is overdue [d]."""
    since: str
    """When it was done last, RFC 3339."""
    every_s: float
    """How often it is due [s]."""
    why: str
    """Where that comes from; empty where it is the procedure alone."""


class DueAnswer(Frozen):
    """What is due, the soonest first."""

    due: tuple[DueTold, ...]
    """Each."""
    within_s: float | None
    """Only what is due within this time [s]; null: all that is planned."""


def due_told(book: Logbook, within_s: float | None) -> DueAnswer:
    """Return what is due on every machine that was handed over, put away from the list of builds or not."""
    found = sorted(_every(book), key=lambda pair: pair[0])
    kept = (told for ms_left, told in found if within_s is None or ms_left <= 1000 * within_s)
    return DueAnswer(due=tuple(kept), within_s=within_s)


def _every(book: Logbook) -> Iterator[tuple[int, DueTold]]:
    now = book.clock.now()
    for row in book.builds():
        state = book.build(row.build_id)
        last = state.of(HandoverState).last
        for one in due_of(book, state):
            assert last is not None  # else nothing is due
            yield (
                one.due_ms - now.wall_ms,
                DueTold(
                    build=row.name,
                    owner=last.to,
                    item=one.item,
                    due=rfc3339(one.due_ms, now.offset_min),
                    days_left=days_left(one, now.wall_ms, now.offset_min),
                    since=rfc3339(one.since_ms, now.offset_min),
                    every_s=one.every_s,
                    why=one.why,
                ),
            )


def due_line(told: DueTold) -> str:
    """Return what is due on a machine as a line."""
    when = f"due {told.due[:10]}, {left_text(told.days_left)}"
    return f"{told.build}: {told.item}, {when}; {told.owner} has it"
