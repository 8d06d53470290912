"""Beside the card of the bleed: its top-ups and the tail that is fitted to them."""

from commission.bench.ask import Flow
from commission.stages.bleed.card.bleed import BleedFlow, Phase
from commission.stages.bleed.plot.top_ups import bleed_steps
from commission.ui.screens.beside import Beside
from commission.ui.widgets.step_plot import StepPlot


class BleedBeside(Beside):
    """What each cycle took."""

    def __init__(self, flow: Flow) -> None:
        assert isinstance(flow, BleedFlow)
        self.flow = flow
        self.plot: StepPlot = StepPlot("cycle")

    def shown(self) -> None:
        """Draw what is new."""
        if self.flow.phase not in (Phase.BLEEDING, Phase.AFTER):
            return
        verdict = self.flow.verdict
        if self.new(verdict.picture):
            self.plot.show(bleed_steps(verdict.picture, verdict.rule))
