"""The handover of a build as plain lines: to whom, what is due, what the years tell, every visit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.attempts import ended_lines
from commission.bench.moment import moment
from commission.procedure.stage_ids import HANDOVER
from commission.record.done_at import done_ms
from commission.record.entries import FindingCured
from commission.record.mishap import WentWrong
from commission.record.part_changed import PartChanged
from commission.record.payload import kind_shown
from commission.stages.fill.entries import CoolantDrained
from commission.stages.handover.entries import HandedOver, HandoverEntry
from commission.stages.handover.rows.figures import figures_of, sentences_of
from commission.stages.handover.state import HandoverState, visiting
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.card import Fact
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.payload import Payload


def handover_lines(book: Logbook, state: BuildState) -> Iterator[Fact]:
    """Yield the facts of a handover; nothing where none was prepared."""
    kept = state.of(HandoverState)
    if kept.spares is None and kept.life is None and not kept.handed:
        return
    stage = book.procedure(state).stage(HANDOVER)
    visit = visiting(state)
    if visit is not None:
        yield f"handover visit: running, {visit.why}"
    for figure in figures_of(book, stage, state):
        yield figure.of("handover")
    for said in sentences_of(book, stage, state):
        yield f"handover reason: {said}"
    if kept.last is not None:
        for reason in kept.last.verdict.reasons[1:]:
            yield f"handover reason: {say(reason)}"
    yield from visit_lines(book, state)
    yield from ended_lines(state, HANDOVER)


def visit_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield what happened after the first handover: visits, what was done there, what went wrong."""
    kept = state.of(HandoverState)
    first = kept.handed[0].seq if kept.handed else None
    for entry in book.entries(state.build_id):
        if first is None or entry.seq <= first or entry.seq in state.withdrawn:
            continue
        if isinstance(entry.payload, HandedOver) or not _of_the_years(book, entry.payload):
            continue
        kind = kind_shown(entry.payload)
        yield f"service: {moment(done_ms(entry), entry.mark.offset_min)}, {kind}: {book.entry_text(entry.payload)}"


def _of_the_years(book: Logbook, payload: Payload) -> bool:
    """Return whether an entry tells of service: done on a visit, a mishap, its repair, a stage that was done again."""
    if isinstance(payload, HandoverEntry | PartChanged | WentWrong | FindingCured | CoolantDrained):
        return True
    face = book.registry.of(payload)
    return face is not None and isinstance(payload, face.ends)
