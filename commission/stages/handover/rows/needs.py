"""What a build needs for its handover or after it, and the visit that goes on, in a few words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Running, Urgency
from commission.record.ladder import StageWord
from commission.stages.handover.rows.figures import next_text
from commission.stages.handover.state import HandoverState, visiting
from commission.stages.handover.work.years import due_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook


def needs(book: Logbook, state: BuildState, turn: StageState) -> str:
    """Return what a build needs whose turn is the handover: what is due next, or what the handover lacks."""
    kept = state.of(HandoverState)
    match turn.word:
        case StageWord.PASSED:
            now = book.clock.now()
            return next((next_text(one, now.wall_ms, now.offset_min) for one in due_of(book, state)), "")
        case StageWord.OPEN if kept.spares is None:
            return "spare parts named"
        case StageWord.OPEN:
            return "its owner named"
        case _:
            return ""


def running(_book: Logbook, state: BuildState) -> Iterator[Running]:
    """Yield the visit that goes on."""
    visit = visiting(state)
    if visit is not None:
        yield Running(Urgency.WORK, f"service visit: {visit.why}")
