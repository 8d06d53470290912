"""Makes the report of a build from the record as it stood when an entry was the last."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.text import clean
from commission.bench.build_facts import found_facts, last_text, own_facts
from commission.bench.face import face_of
from commission.bench.listing import Listing
from commission.bench.moment import moment
from commission.bench.needs import need_of, turn
from commission.bench.rests import proof_facts
from commission.record.issue import refuse_running
from commission.record.ladder import StageWord
from commission.record.locks import counts
from commission.record.sealed import require_sealed
from commission.record.up_to import book_up_to
from commission.report.limits import limits_of
from commission.report.model import Report, Section
from commission.report.parts import cautions, entries_table, instruments, other_entries, owners_cautions, reports_before
from commission.report.told import told_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.bench.chart import Chart, Line
    from commission.bench.face import Face
    from commission.record.build_state import BuildState
    from commission.record.issue import Issue
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook
    from commission.report.model import Told

STANDING = (StageWord.PASSED, StageWord.OVERRIDDEN)
"""Words of stages that hold nothing up."""
_JUDGED = (StageWord.PASSED, StageWord.FAILED, StageWord.INCONCLUSIVE)
"""Words of stages whose last figures speak of what is there now."""


def report_number(build_id: str, head: int) -> str:
    """Return the number of a report.

    >>> report_number("0f3c9a77", 251)
    '9a77-251'
    """
    return f"{build_id[-4:]}-{head}"


def report_of(book: Logbook, faces: tuple[Face, ...], build_id: str, issue: Issue) -> Report:
    """Return the report of a build.

    Parameters
    ----------
    book, faces, build_id
        The logbook, the stages, and the build.
    issue
        Up to which entry it tells, and what it replaces.

    Raises
    ------
    NotAllowed
        If the build was not opened by that entry, or readings stream in there.
    Damaged
        If readings are no longer those that a verdict was given on.
    """
    book = book_up_to(book, issue.head)
    state = book.build(build_id)
    if not state.name:
        raise NotAllowed(f"entry {issue.head} is before this build was opened; name a later one")
    refuse_running(book, state)
    require_sealed(book, state)
    rungs = book.ladder(state)
    ready, stands = stands_of(book, faces, state)
    before, told = report_number(build_id, issue.replaces), book.clock.now()
    sections = tuple(_sections(book, faces, state, rungs))
    return Report(
        number=report_number(build_id, issue.head),
        draft=not issue.recorded,
        build=clean(state.name),
        ready=ready,
        stands=stands,
        replaces=clean(f"{before}, because: {issue.why}") if issue.replaces else "",
        stages=_ladder(state, faces, rungs, sections),
        sections=sections,
        last=last_text(book.head()),
        told=moment(told.wall_ms, told.offset_min),
        told_ms=told.wall_ms,
    )


def stands_of(book: Logbook, faces: tuple[Face, ...], state: BuildState) -> tuple[bool, str]:
    """Return whether nothing holds a build up, and where it stands in a sentence, with what is to be done first."""
    rungs = book.ladder(state)
    open_ = any(rung.word not in STANDING or _on_a_reason_alone(state, rung) for rung in rungs)
    if open_ or state.open_findings or state.unknown:
        now = turn(rungs)
        what = now.stage.title if now is not None and now.word is StageWord.RUNNING else "It"
        return False, clean(f"Not ready to hand over. {what} needs: {need_of(book, faces, state).next}.")
    passed = "Every stage passed, by a procedure of its own." if book.own_procedure(state) else "Every stage passed."
    over = [rung.stage.title.lower() for rung in rungs if rung.word is StageWord.OVERRIDDEN]
    if over:
        return True, clean(f"{passed} A reason opened the lock of: {', '.join(over)}.")
    return True, passed


def _on_a_reason_alone(state: BuildState, rung: StageState) -> bool:
    return rung.word is StageWord.OVERRIDDEN and not counts(state, rung.stage.id)


def _ladder(
    state: BuildState, faces: tuple[Face, ...], rungs: Iterable[StageState], sections: Iterable[Section]
) -> Listing:
    facts = {section.title: section.facts for section in sections}
    rows = []
    for rung in rungs:
        title, face = clean(rung.stage.title), face_of(faces, rung.stage.id)
        shown = _shown(state, face, rung, facts.get(title, ())) if face is not None else ""
        rows.append((title, str(rung.word).upper(), clean(rung.why), shown))
    columns = ("stage", "state", "why", "what it shows")
    return Listing(caption="Where the stages stand", columns=columns, rows=tuple(rows))


def _shown(state: BuildState, face: Face, rung: StageState, facts: tuple[Told, ...]) -> str:
    """Return the one figure or sentence that a stage that was judged comes down to, without what explains it."""
    run = state.judged_run(rung.stage.id)
    if run is None or rung.word not in _JUDGED:
        return ""
    name, words = face.shows
    name = name.replace("#", str(run.attempt))
    told = next((fact.text for fact in facts if fact.name == name), "")
    return f"{words} {told.partition(';')[0]}".strip() if told else ""


def _sections(
    book: Logbook, faces: tuple[Face, ...], state: BuildState, rungs: tuple[StageState, ...]
) -> Iterator[Section]:
    yield _about(book, state)
    yield from owners_cautions(book.procedure(state))
    for face in faces:
        rung = next((rung for rung in rungs if rung.stage.id == face.id), None)
        yield _stage(book, state, face, rung)
    proofs = told_of(proof_facts(book, state))
    if proofs:
        yield Section(title="What would undo each proof", facts=proofs)
    yield Section(title="Defects and notes", facts=told_of(found_facts(book, state)), words=_none_found(state))
    yield from other_entries(book, state)
    yield instruments(book)
    yield cautions(book.procedure(state))
    yield from reports_before(book, state)
    yield entries_table(book, state)


def _none_found(state: BuildState) -> tuple[str, ...]:
    return () if state.findings else ("No defect was recorded.",)


def _about(book: Logbook, state: BuildState) -> Section:
    entries, procedure = book.entries(state.build_id), book.procedure(state)
    who = sorted({entry.operator for entry in entries if entry.operator})
    first, last = entries[0].mark, book.clock.now()
    facts = (
        f"build: {state.name}",
        f"opened: {moment(first.wall_ms, first.offset_min)}",
        f"told up to: {moment(last.wall_ms, last.offset_min)}",
        f"worked on by: {', '.join(who) or 'nobody was named'}",
        f"procedure: {procedure.title}, revision {procedure.revision}, digest {state.procedure}",
        *own_facts(book, state),
        f"program: commission {book.program}",
    )
    words = (
        "It speaks of this build as it was tested, and of no other. Pass it on whole, or not at all.",
        "It is no certificate of calibration, and not of an accredited laboratory.",
        "Readings are what was typed or logged: a wrong gauge does not show in them. The mains side was not tested.",
        'A verdict "so far" is that of the readings up to the last entry; one "at the end" was recorded with it.',
        "Figures of parts, ratings and bottles are as they were typed from labels and manuals.",
        "What is called reason, remark, note or possible cause is drawn from the figures, and was not measured.",
    )
    return Section(title="What was tested", words=words, facts=told_of(facts))


def _stage(book: Logbook, state: BuildState, face: Face, rung: StageState | None) -> Section:
    facts = told_of(face.rows(book, state))
    charts = tuple(_chart(chart) for chart in face.charts(book, state))
    tables = tuple(map(_listing, face.listings(book, state)))
    if rung is None:
        title = clean(face.id.replace("_", " ").capitalize())
        return Section(title=title, facts=facts, charts=charts, tables=tables)
    stage = rung.stage
    words = [f"What a pass proves: {stage.proves}"]
    words += [f"How it is decided: {face.decides}"] if face.decides else []
    words += [f"What is good: {stage.help.good}", f"State: {rung.word}{rung.why and f', {rung.why}'}."]
    words += [] if facts else ["Nothing was recorded here."]
    return Section(
        title=clean(stage.title),
        state=str(rung.word).upper(),
        words=tuple(map(clean, words)),
        facts=facts,
        charts=charts,
        tables=(*tables, *((_listing(limits_of(stage)),) if stage.limits else ())),
    )


def _listing(table: Listing) -> Listing:
    """Return a table with clean words."""
    return Listing(
        caption=clean(table.caption),
        columns=tuple(map(clean, table.columns)),
        rows=tuple(tuple(map(clean, row)) for row in table.rows),
    )


def _chart(chart: Chart) -> Chart:
    """Return a picture with clean words and without points that have no place on paper."""
    return replace(
        chart,
        title=clean(chart.title),
        said=clean(chart.said),
        across=clean(chart.across),
        up=clean(chart.up),
        lines=tuple(map(_finite, chart.lines)),
    )


def _finite(line: Line) -> Line:
    kept = [point for point in zip(line.x, line.y, strict=True) if all(map(math.isfinite, point))]
    return replace(line, name=clean(line.name), x=tuple(x for x, _ in kept), y=tuple(y for _, y in kept))
