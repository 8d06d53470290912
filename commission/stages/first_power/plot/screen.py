"""Beside the card of the first power-on: the clock of the wet watch."""

from commission.bench.ask import Flow
from commission.stages.first_power.card.first_power import FirstPowerFlow, Phase
from commission.ui.screens.beside import Beside
from commission.ui.widgets.hold_clock import HoldClock


class WatchBeside(Beside):
    """The clock, while the pump runs alone."""

    def __init__(self, flow: Flow) -> None:
        assert isinstance(flow, FirstPowerFlow)
        self.flow = flow
        self.clock: HoldClock = HoldClock()

    def shown(self) -> None:
        """Set the clock while the pump runs."""
        if self.flow.phase is Phase.WATCH:
            self.flow.watching.turned()
            self._tell_time()

    def tick(self, *, typing: bool) -> bool:
        """Move the clock, and ask again where a look has come due."""
        if self.flow.phase is not Phase.WATCH:
            return False
        self._tell_time()
        return self.flow.look()

    def _tell_time(self) -> None:
        watching = self.flow.watching
        self.clock.tick(watching.times())
        looks, last = watching.last_look()
        self.clock.read(looks, remark=last, word="")
