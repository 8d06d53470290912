"""The first power-on, with the clock of the wet watch."""

from textual.widget import Widget

from commission.record.logbook import Logbook
from commission.stages.first_power.card.first_power import FirstPowerFlow, Phase
from commission.ui.screens.flow_screen import FlowScreen
from commission.ui.widgets.hold_clock import HoldClock


class FirstPowerScreen(FlowScreen):
    """Rung by rung, until the whole machine is on."""

    help_key = "first_power"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: FirstPowerFlow = FirstPowerFlow(book, build_id)

    def clock(self) -> Widget:
        """Return the clock of the watch."""
        self._clock = HoldClock()
        return self._clock

    def show(self) -> None:
        """Show the card, and the clock while the pump runs."""
        super().show()
        if self.flow.phase is Phase.WATCH:
            self.flow.watching.turned()
            self._tell_time()

    def tick(self) -> None:
        """Move the clock, and ask again where a look has come due."""
        if self.flow.phase is not Phase.WATCH:
            return
        if self.flow.look():
            self.show()
        self._tell_time()

    def _tell_time(self) -> None:
        watching = self.flow.watching
        self._clock.tick(watching.times())
        looks, last = watching.last_look()
        self._clock.read(looks, remark=last, word="")
