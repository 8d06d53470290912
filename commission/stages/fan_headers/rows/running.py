"""A sweep that goes on, in a few words."""

from collections.abc import Iterator

from commission.base.text import counted
from commission.bench.face import Running, Urgency
from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from commission.stages.fan_headers.state import FanHeadersState


def running(_book: Logbook, state: BuildState) -> Iterator[Running]:
    """Yield the sweep that goes on."""
    at_hand = state.of(FanHeadersState).sweeping
    if at_hand is None:
        return
    chain = state.plugged.chain(at_hand.begun.chain_id)
    name = chain.name if chain is not None else "a chain that was taken out"
    yield Running(Urgency.WORK, f"sweep of {name}: {counted(len(at_hand.readings), 'reading')} so far")
