"""Beside the card of the thermal soak: coolant above air, the approach that is fitted, the limit."""

from commission.bench.ask import Flow
from commission.stages.thermal_soak.card.soak import Phase, SoakFlow
from commission.stages.thermal_soak.plot.soak_plot import SoakPlot
from commission.ui.screens.beside import Beside


class SoakBeside(Beside):
    """Reading after reading, until the end is bounded."""

    def __init__(self, flow: Flow) -> None:
        assert isinstance(flow, SoakFlow)
        self.flow = flow
        self.plot: SoakPlot = SoakPlot()

    def tick(self, *, typing: bool) -> bool:
        """Store what came by itself."""
        return self.flow.look()

    def shown(self) -> None:
        """Draw what is new."""
        if self.flow.phase not in (Phase.SOAKING, Phase.AFTER):
            return
        verdict = self.flow.verdict
        if self.new(verdict.picture):
            self.plot.show_picture(verdict.picture, verdict.rule)
