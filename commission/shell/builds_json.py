"""The builds as plain data for programs: one JSON object on one line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.bench.moment import rfc3339
from commission.record.unknown import unknown_text

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.record.ladder import StageState
    from commission.record.logbook import BuildRow, Logbook


class StageTold(Frozen):
    """Where one stage of a build stands."""

    id: str
    """Its id in the procedure."""
    title: str
    """What it is called."""
    state: str
    """open, running, passed, failed, inconclusive, invalid, stale, locked or overridden."""
    why: str
    """Which attempt, or what it waits for; empty where the state says all."""


class BuildTold(Frozen):
    """One build of the list."""

    build: str
    """What the builder calls it."""
    opened: str
    """When it was opened, RFC 3339."""
    put_away: bool
    """Whether the list on the screen leaves it out."""
    own_procedure: tuple[str, ...]
    """In what its procedure is none that ships; nothing where it is one."""
    stages: tuple[StageTold, ...]
    """Where each stage stands, in the order of the job."""
    unknown: str
    """The first entry that this program does not know; empty where it knows all."""


class BuildsTold(Frozen):
    """A page of the builds."""

    builds: tuple[BuildTold, ...]
    """The builds, the one opened last first."""
    count: int
    """How many there are in all."""
    page: int
    """Which page this is, from 1."""
    pages: int
    """How many pages there are; 1 where all are told."""


def build_told(book: Logbook, row: BuildRow) -> BuildTold:
    """Return one build of the list."""
    state = book.build(row.build_id)
    return BuildTold(
        build=row.name,
        opened=rfc3339(row.opened_ms, row.offset_min),
        put_away=state.put_away,
        own_procedure=book.own_procedure(state),
        stages=_stages(book.ladder(state)),
        unknown=next((unknown_text(entry) for entry in state.unknown), ""),
    )


def _stages(rungs: Iterable[StageState]) -> tuple[StageTold, ...]:
    return tuple(
        StageTold(id=rung.stage.id, title=rung.stage.title, state=str(rung.word), why=rung.why) for rung in rungs
    )
