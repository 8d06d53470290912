"""The screen of the dust filters, with a bar for each gap."""

from textual.widget import Widget
from textual.widgets import Static

from commission.record.logbook import Logbook
from commission.ui.screens.flow_screen import FlowScreen
from tests.toy_stage.card import FiltersFlow
from tests.toy_stage.model import STAGE


class FiltersScreen(FlowScreen):
    """Filter by filter."""

    help_key = STAGE

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: FiltersFlow = FiltersFlow(book, build_id)

    def plot(self) -> Widget:
        self._bars = Static()
        return self._bars

    def show(self) -> None:
        super().show()
        bars = [f"{name} |{'=' * round(gap_m * 1e4)}|" for name, gap_m in self.flow.gaps_m.items()]
        self._bars.update("\n".join(bars))
