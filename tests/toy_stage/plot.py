"""Beside the card of the dust filters: a bar for each gap."""

from textual.widgets import Static

from commission.bench.ask import Flow
from commission.ui.screens.beside import Beside
from tests.toy_stage.card import FiltersFlow


class FiltersBeside(Beside):
    """Filter by filter."""

    def __init__(self, flow: Flow) -> None:
        assert isinstance(flow, FiltersFlow)
        self.flow = flow
        self.plot: Static = Static()

    def shown(self) -> None:
        bars = [f"{name} |{'=' * round(gap_m * 1e4)}|" for name, gap_m in self.flow.gaps_m.items()]
        self.plot.update("\n".join(bars))
