"""A fill that goes on, in a few words."""

from collections.abc import Iterator

from commission.base.text import counted
from commission.bench.face import Running, Urgency
from commission.procedure.stage_ids import FILL
from commission.record.fold import BuildState
from commission.record.ladder import StageWord
from commission.record.logbook import Logbook
from commission.stages.fill.state import FillState


def running(book: Logbook, state: BuildState) -> Iterator[Running]:
    """Yield the fill that goes on."""
    if state.run(FILL).running and not _waits(book, state):
        amounts = counted(sum(one.stage == FILL for one in state.of(FillState).moves), "amount")
        yield Running(Urgency.WORK, f"fill: {amounts} so far")


def _waits(book: Logbook, state: BuildState) -> bool:
    """Return whether it is locked by now, as after a leak: then what it rests on is done first, and nothing runs."""
    return any(rung.stage.id == FILL and rung.word is StageWord.LOCKED for rung in book.ladder(state))
