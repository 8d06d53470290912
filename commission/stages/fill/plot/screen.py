"""The fill, with the total against what the loop should take."""

from textual.widget import Widget

from commission.record.logbook import Logbook
from commission.stages.fill.card.fill import FillFlow, Phase
from commission.stages.fill.plot.amounts import FillPlot
from commission.ui.screens.flow_screen import FlowScreen


class FillScreen(FlowScreen):
    """Pour after pour, until there is enough in the loop."""

    help_key = "fill"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: FillFlow = FillFlow(book, build_id)
        self._drawn: object = None

    def plot(self) -> Widget:
        """Return the plot of the total."""
        self._plot = FillPlot()
        return self._plot

    def show(self) -> None:
        """Show the card and the total."""
        super().show()
        if self.flow.phase not in (Phase.POURING, Phase.AFTER):
            return
        picture = self.flow.hand.fill_verdict.picture
        if picture is not self._drawn:
            self._plot.show_picture(picture)
            self._drawn = picture
