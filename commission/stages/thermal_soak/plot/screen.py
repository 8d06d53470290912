"""The thermal soak, with coolant above air over time, the approach that is fitted to it, and the limit."""

from textual.widget import Widget

from commission.record.logbook import Logbook
from commission.stages.thermal_soak.card.soak import Phase, SoakFlow
from commission.stages.thermal_soak.plot.soak_plot import SoakPlot
from commission.ui.screens.flow_screen import FlowScreen


class SoakScreen(FlowScreen):
    """Reading after reading, until the end is bounded."""

    help_key = "thermal_soak"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: SoakFlow = SoakFlow(book, build_id)
        self._drawn: object = None

    def plot(self) -> Widget:
        """Return the plot of coolant above air."""
        self._plot = SoakPlot()
        return self._plot

    def show(self) -> None:
        """Show the card and the approach."""
        super().show()
        if self.flow.phase not in (Phase.SOAKING, Phase.AFTER):
            return
        verdict = self.flow.verdict
        if verdict.picture is not self._drawn:
            self._plot.show_picture(verdict.picture, verdict.rule)
            self._drawn = verdict.picture
