"""What is known of a build, a fact a line: what ``show`` prints and a report tells."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.moment import moment
from commission.bench.rests import proof_facts
from commission.record.unknown import unknown_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.card import Fact
    from commission.bench.face import Face
    from commission.record.fold import BuildState, Finding
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook
    from commission.record.logged import Head


def rung_text(rung: StageState) -> str:
    """Return a stage with the word for where it stands, such as ``pressure hold: running, attempt 1``."""
    return f"{rung.stage.title.lower()}: {rung.word}{rung.why and f', {rung.why}'}"


def last_text(head: Head) -> str:
    """Return number and digest of the last entry as ``show`` prints them and ``verify --last`` takes them."""
    return f"{head.seq}:{head.digest}" if head.seq else "none yet"


def show_facts(book: Logbook, faces: tuple[Face, ...], state: BuildState) -> Iterator[Fact]:
    """Yield the facts of a build."""
    entries = book.entries(state.build_id)
    yield f"build: {state.name}"
    if entries:
        yield f"opened: {moment(entries[0].mark.wall_ms, entries[0].mark.offset_min)}"
    yield from own_facts(book, state)
    for rung in book.ladder(state):
        yield rung_text(rung)
        yield from _judged_elsewhere(book, state, rung)
    for face in faces:
        yield from face.rows(book, state)
    yield from proof_facts(book, state)
    yield from found_facts(book, state)
    yield f"entries: {len(entries)}"
    yield f"last digest: {last_text(book.head())}"


def own_facts(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield in what the procedure of a build is none that ships."""
    own = book.own_procedure(state)
    if own:
        yield "judged by: a procedure of its own, not the one that ships"
    for difference in own:
        yield f"own procedure: {difference}"


def _judged_elsewhere(book: Logbook, state: BuildState, rung: StageState) -> Iterator[str]:
    """Yield by which other program the last verdict of a stage was given: nothing judged it again."""
    run = state.judged_run(rung.stage.id)
    program = "" if run is None or run.closed is None else getattr(run.closed.payload, "program", "")
    if program and program != book.program:
        yield f"{rung.stage.title.lower()}: judged by program {program}, not judged again by {book.program}"


def found_facts(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield what was found and noted at no stage of its own, and what does not fit."""
    for finding in state.findings:
        yield f"defect: {_finding(book.registry.called(finding.raised.stage), finding)}"
    for note in state.notes:
        yield f"note: {note}"
    for entry in state.unknown:
        yield f"unknown: {unknown_text(entry)}; this program does not know what it is, and lets no work be done here"
    for problem in state.problems:
        yield f"problem: entry {problem.seq}: {problem.message}"


def _finding(what: str, finding: Finding) -> str:
    raised = finding.raised
    text = f"{what} {raised.attempt}, {finding.told}" if finding.wrong is None else finding.told
    text += f"; repaired: {finding.cure}" if finding.cure else "; not repaired yet"
    if finding.wrong is not None and finding.proved_by is not None:
        return f"{text}; proved by attempt {finding.proved_by}"
    return f"{text}; proved by {what} {finding.proved_by}" if finding.proved_by is not None else text
