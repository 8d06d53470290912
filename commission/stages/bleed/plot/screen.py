"""The bleed, with its top-ups and the tail that is fitted to them."""

from textual.widget import Widget

from commission.record.logbook import Logbook
from commission.stages.bleed.card.bleed import BleedFlow, Phase
from commission.stages.bleed.plot.top_ups import BleedPlot
from commission.ui.screens.flow_screen import FlowScreen


class BleedScreen(FlowScreen):
    """Cycle after cycle, until the air is out."""

    help_key = "bleed"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: BleedFlow = BleedFlow(book, build_id)
        self._drawn: object = None

    def plot(self) -> Widget:
        """Return the plot of the top-ups."""
        self._plot = BleedPlot()
        return self._plot

    def show(self) -> None:
        """Show the card and the top-ups."""
        super().show()
        if self.flow.phase not in (Phase.BLEEDING, Phase.AFTER):
            return
        picture = self.flow.verdict.picture
        if picture is not self._drawn:
            self._plot.show_picture(picture, self.flow.verdict.rule)
            self._drawn = picture
