"""The dust filters of a build as plain lines, and what runs."""

from collections.abc import Iterator

from commission.base.text import counted
from commission.bench.attempts import ended_lines
from commission.bench.card import Fact
from commission.bench.face import Running, Urgency
from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from tests.toy_stage.model import STAGE
from tests.toy_stage.state import FiltersState
from tests.toy_stage.text import gap_text
from tests.toy_stage.work import Filters


def filters_lines(book: Logbook, state: BuildState) -> Iterator[Fact]:
    """Yield the facts; nothing where no filter was ever read."""
    if not state.runs.get(STAGE):
        return
    for name, gap_m in state.of(FiltersState).gaps_m.items():
        yield f"filter {name}: gap {gap_text(gap_m)}"
    yield f"filters verdict so far: {book.work(Filters).verdict(state).outcome}"
    yield from ended_lines(state, STAGE)


def running(_book: Logbook, state: BuildState) -> Iterator[Running]:
    """Yield the attempt that goes on."""
    if state.run(STAGE).running:
        yield Running(Urgency.WORK, f"dust filters: {counted(len(state.of(FiltersState).gaps_m), 'filter')} so far")
