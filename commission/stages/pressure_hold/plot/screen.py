"""The pressure hold, with its clock and its curve."""

from textual.widget import Widget

from commission.base.quantity import Quantity
from commission.bench.attempts import attempt_title
from commission.procedure.stage_ids import HOLD
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.card.hold import HoldFlow, Phase
from commission.stages.pressure_hold.plot.curve import CurveAxes, HoldCurve
from commission.ui.screens.flow_screen import FlowScreen
from commission.ui.widgets.hold_clock import HoldClock
from commission.units.parse import parse
from commission.units.show import show


class PressureHoldScreen(FlowScreen):
    """One hold after the other, until the loop is tight."""

    help_key = "pressure_hold"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: HoldFlow = HoldFlow(book, build_id)
        self._drawn: object = None

    def plot(self) -> Widget:
        """Return the curve."""
        self._curve = HoldCurve()
        return self._curve

    def clock(self) -> Widget:
        """Return the clock."""
        self._clock = HoldClock()
        return self._clock

    def title_text(self) -> str:
        """Return the build's name and where we are."""
        return attempt_title(self.flow.hand.state, HOLD, "pressure hold", after=self.flow.phase is Phase.AFTER)

    def show(self) -> None:
        """Show card, clock and curve."""
        super().show()
        self._tell_time()
        running = self.flow.phase is Phase.RUNNING
        picture = self.flow.running.picture if running else None
        if picture is not self._drawn and running:
            self._curve.show(picture, empty="The curve begins with the second reading.", axes=self._axes())
            self._drawn = picture

    def tick(self) -> None:
        """Move the clock, and judge again where something is new."""
        if self.flow.phase is not Phase.RUNNING:
            return
        self._tell_time()
        busy = bool(self.card.line.draft) and self.flow.running.slow
        if not busy and self.flow.running.look():
            self.show()

    def _tell_time(self) -> None:
        if self.flow.phase is Phase.RUNNING:
            running = self.flow.running
            self._clock.tick(running.times())
            self._clock.read(running.last_pressure())

    def _axes(self) -> CurveAxes:
        unit = self.flow.hand.plan.gauge.unit
        unit_pa = parse(f"1 {unit}", Quantity.PRESSURE_DIFFERENCE).si

        def pressure_text(pa: float) -> str:
            return show(pa, Quantity.PRESSURE_DIFFERENCE, unit=unit, digits=3).partition(" ")[0]

        return CurveAxes(
            time_text=lambda seconds: show(seconds, Quantity.DURATION),
            pressure_text=pressure_text,
            unit_pa=unit_pa,
            unit=unit,
        )
