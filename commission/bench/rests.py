"""What each proof rests on, in words and for programs: what would undo it, and what did."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.verdict import Outcome
from commission.record.payload import kind_shown
from commission.record.rests import judging, rest_rows, undone_by

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.procedure.model import Procedure
    from commission.record.build_state import BuildState
    from commission.record.face import Registry
    from commission.record.logbook import Logbook


class StageRests(Frozen):
    """One stage that is judged."""

    stage: str
    """Its id."""
    title: str
    """Its title in the procedure; its id where that has none."""
    rests_on: tuple[str, ...]
    """Ids of the stages that must have passed before."""
    undone_by: tuple[str, ...]
    """Kinds of entry that take the worth of its verdict, by their words in the log."""


class EntryTakes(Frozen):
    """What entries of a kind take, in one of the ways in which they do."""

    kind: str
    """Its word in the log."""
    shown: str
    """What it is called where it is shown."""
    when: str
    """When; empty: always, or never where it takes nothing."""
    takes: tuple[str, ...]
    """Ids of the stages whose verdicts fall."""


class Rests(Frozen):
    """The whole table."""

    stages: tuple[StageRests, ...]
    """Each stage that is judged, in the order of the job."""
    entries: tuple[EntryTakes, ...]
    """Each kind of entry."""


def rests(registry: Registry, procedure: Procedure) -> Rests:
    """Return what each stage rests on, and what each kind of entry takes."""
    of = {stage.id: stage for stage in procedure.stages}
    stages = []
    for face in judging(registry):
        stage = of.get(face.id)
        stages.append(
            StageRests(
                stage=face.id,
                title=face.id if stage is None else stage.title,
                rests_on=() if stage is None else tuple(stage.rests_on),
                undone_by=tuple(dict.fromkeys(row.kind.KIND for row in undone_by(registry, face.id))),
            )
        )
    rows = (
        EntryTakes(kind=row.kind.KIND, shown=kind_shown(row.kind), when=row.when, takes=row.takes)
        for row in rest_rows(registry)
    )
    return Rests(stages=tuple(stages), entries=tuple(rows))


def rest_lines(table: Rests) -> Iterator[str]:
    """Yield the table as lines."""
    titles = {stage.stage: stage.title.lower() for stage in table.stages}
    for stage in table.stages:
        on = ", ".join(titles.get(one, one) for one in stage.rests_on) or "nothing"
        yield f"stage: {titles[stage.stage]}; rests on {on}"
    for entry in table.entries:
        when = f", {entry.when}" if entry.when else ""
        takes = ", ".join(titles[one] for one in entry.takes) or "no verdict"
        yield f"entry: {entry.shown}{when}; takes {takes}"


def proof_facts(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield of each stage that passed what would undo that, or which entry did.

    What a stage before it tells already is not told again: seven lists that are nearly the same are not read.
    """
    titles = {stage.id: stage.title.lower() for stage in book.procedure(state).stages}
    kinds = {entry.seq: kind_shown(entry.payload) for entry in book.entries(state.build_id)}
    rows = rest_rows(book.registry)
    told: dict[str, tuple[str, ...]] = {}
    for face in judging(book.registry):
        run = state.judged_run(face.id)
        if run is None or run.outcome is not Outcome.PASS:
            continue
        title = titles.get(face.id, face.called)
        if run.stale_by is not None:
            yield f"proof of {title}: undone by entry {run.stale_by}, {kinds.get(run.stale_by, 'of another stream')}"
        else:
            by = tuple(dict.fromkeys(kind_shown(row.kind) for row in rows if face.id in row.takes))
            yield f"proof of {title}: stands; would be undone by {_beside(by, told)}"
            told[title] = by


def _beside(by: tuple[str, ...], told: Mapping[str, tuple[str, ...]]) -> str:
    """Return kinds by those of the stage told before that they differ least from; themselves where none is near.

    >>> _beside(("a", "c", "d"), {"fill": ("a", "b", "c")})
    'what undoes fill (not b), or d'
    >>> _beside(("a",), {"fill": ("b",)})
    'a'
    """
    near = min(told, key=lambda title: len(set(by) ^ set(told[title])), default="")
    if not near or len(set(by) ^ set(told[near])) >= len(by):
        return ", ".join(by)
    less = [one for one in told[near] if one not in by]
    more = [one for one in by if one not in told[near]]
    found = f"what undoes {near} (not {', '.join(less)})" if less else f"what undoes {near}"
    return f"{found}, or {', '.join(more)}" if more else found
