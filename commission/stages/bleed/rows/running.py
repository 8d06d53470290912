"""A bleed that goes on, in a few words."""

from collections.abc import Iterator

from commission.base.text import counted
from commission.bench.face import Running, Urgency
from commission.procedure.stage_ids import BLEED
from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from commission.stages.bleed.state import BleedState


def running(_book: Logbook, state: BuildState) -> Iterator[Running]:
    """Yield the bleed that goes on."""
    if state.run(BLEED).running:
        yield Running(Urgency.WORK, f"bleed: {counted(len(state.of(BleedState).cycles), 'cycle')} so far")
