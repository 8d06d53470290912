"""Beside the card of the fill: the total against what the loop should take."""

from commission.bench.ask import Flow
from commission.stages.fill.card.fill import FillFlow, Phase
from commission.stages.fill.plot.amounts import fill_steps
from commission.ui.screens.beside import Beside
from commission.ui.widgets.step_plot import StepPlot


class FillBeside(Beside):
    """The total after each amount."""

    def __init__(self, flow: Flow) -> None:
        assert isinstance(flow, FillFlow)
        self.flow = flow
        self.plot: StepPlot = StepPlot("amount")

    def shown(self) -> None:
        """Draw what is new."""
        if self.flow.phase not in (Phase.POURING, Phase.AFTER):
            return
        picture = self.flow.hand.fill_verdict.picture
        if self.new(picture):
            self.plot.show(fill_steps(picture))
