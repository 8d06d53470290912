"""A build as plain lines, one fact a line: ``key: value``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.build_facts import show_facts
from commission.bench.moment import moment
from commission.record.entries import Withdrawn
from commission.record.payload import kind_shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.face import Face
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


def show_lines(book: Logbook, faces: tuple[Face, ...], state: BuildState) -> Iterator[str]:
    """Yield the facts of a build, one a line."""
    for fact in show_facts(book, faces, state):
        yield fact if isinstance(fact, str) else fact.line()


def entry_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield every entry of a build on a line of its own, in order; withdrawn ones say so."""
    entries = book.entries(state.build_id)
    gone = {entry.payload.target: entry.seq for entry in entries if isinstance(entry.payload, Withdrawn)}
    names = book.names(entries)
    for entry in entries:
        word = f"WITHDRAWN by entry {gone[entry.seq]}, " if entry.seq in gone else ""
        who = f" by {entry.operator}" if entry.operator else ""
        when = moment(entry.mark.wall_ms, entry.mark.offset_min)
        if entry.observed_ms is not None:
            when += f", seen {moment(entry.observed_ms, entry.mark.offset_min)}"
        text = book.entry_text(entry.payload, names=names)
        yield f"entry {entry.seq}: {word}{when}{who}: {kind_shown(entry.payload)}: {text}"
