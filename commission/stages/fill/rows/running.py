"""A fill that goes on, in a few words."""

from collections.abc import Iterator

from commission.base.text import counted
from commission.bench.face import Running, Urgency
from commission.procedure.stage_ids import FILL
from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from commission.stages.fill.state import FillState


def running(_book: Logbook, state: BuildState) -> Iterator[Running]:
    """Yield the fill that goes on."""
    if state.run(FILL).running:
        amounts = counted(sum(one.stage == FILL for one in state.of(FillState).moves), "amount")
        yield Running(Urgency.WORK, f"fill: {amounts} so far")
