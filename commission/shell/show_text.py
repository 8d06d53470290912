"""A build as plain lines, one fact a line: ``key: value``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.kind_words import kind_shown
from commission.bench.moment import moment
from commission.record.entries import Withdrawn
from commission.record.unknown import unknown_text
from commission.shell.console import ascii_only
from commission.shell.list_builds import rung_text
from commission.shell.verify import last_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.card import Fact
    from commission.bench.face import Face
    from commission.record.fold import BuildState, Finding
    from commission.record.logbook import Logbook


def show_lines(book: Logbook, faces: tuple[Face, ...], state: BuildState) -> Iterator[str]:
    """Yield the facts of a build, one a line."""
    for fact in show_facts(book, faces, state):
        yield fact if isinstance(fact, str) else fact.line()


def show_facts(book: Logbook, faces: tuple[Face, ...], state: BuildState) -> Iterator[Fact]:
    """Yield the facts of a build."""
    entries = book.entries(state.build_id)
    yield f"build: {state.name}"
    if entries:
        yield f"opened: {moment(entries[0].mark.wall_ms, entries[0].mark.offset_min)}"
    for rung in book.ladder(state):
        yield rung_text(rung)
    for face in faces:
        yield from face.rows(book, state)
    for finding in state.findings:
        yield f"defect: {_finding(book.registry.called(finding.raised.stage), finding)}"
    for note in state.notes:
        yield f"note: {note}"
    for entry in state.unknown:
        yield f"unknown: {unknown_text(entry)}; this program does not know what it is, and lets no work be done here"
    for problem in state.problems:
        yield f"problem: entry {problem.seq}: {problem.message}"
    head = book.head()
    yield f"entries: {len(entries)}"
    yield f"last digest: {last_text(head)}"


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
        text = book.entry_text(entry.payload, names=names, ascii_only=ascii_only())
        yield f"entry {entry.seq}: {word}{when}{who}: {kind_shown(entry.payload.KIND)}: {text}"


def _finding(what: str, finding: Finding) -> str:
    raised = finding.raised
    text = f"{what} {raised.attempt}, {finding.told}" if finding.wrong is None else finding.told
    text += f"; repaired: {finding.cure}" if finding.cure else "; not repaired yet"
    if finding.wrong is not None and finding.proved_by is not None:
        return f"{text}; proved by attempt {finding.proved_by}"
    return f"{text}; proved by {what} {finding.proved_by}" if finding.proved_by is not None else text
