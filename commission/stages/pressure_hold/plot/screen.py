"""The pressure hold, with its clock and its curve."""

from textual.widget import Widget

from commission.base.quantity import Quantity
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

    def show(self) -> None:
        """Show card, clock and curve."""
        super().show()
        self._tell_time()
        match self.flow.phase:
            case Phase.RUNNING:
                picture = self.flow.running.picture
                if picture is not self._drawn:
                    self._curve.show(
                        picture,
                        empty="The curve begins with the second reading.",
                        axes=_axes(self.flow.hand.plan.gauge.unit),
                    )
                    self._drawn = picture
            case Phase.AFTER if self._drawn != self._judged:
                self._drawn = self._judged
                self._curve.show(None, empty="The curve is being drawn.")
                self.call_after_refresh(self._draw_judged)

    @property
    def _judged(self) -> int:
        """Number of the attempt that was judged last."""
        return self.flow.after.judged.attempt

    def _draw_judged(self) -> None:
        """Draw the curve of the hold that has ended, when the verdict is on the screen: judging it again takes time."""
        if self.flow.phase is not Phase.AFTER:
            return
        plan = self.flow.after.judged.plan
        if plan is not None:
            self._curve.show(
                self.flow.after.picture, empty="Too few readings for a curve.", axes=_axes(plan.gauge.unit)
            )

    def tick(self) -> None:
        """Move the clock, and judge again where something is new."""
        if self.flow.phase is not Phase.RUNNING:
            return
        self._tell_time()
        busy = bool(self.card.line.draft) and self.flow.running.slow
        if not busy and self.flow.look():
            self.show()

    def _tell_time(self) -> None:
        if self.flow.phase is Phase.RUNNING:
            running = self.flow.running
            self._clock.tick(running.times())
            self._clock.read(running.last_pressure())


def _axes(unit: str) -> CurveAxes:
    unit_pa = parse(f"1 {unit}", Quantity.PRESSURE_DIFFERENCE).si

    def pressure_text(pa: float) -> str:
        return show(pa, Quantity.PRESSURE_DIFFERENCE, unit=unit, digits=3).partition(" ")[0]

    return CurveAxes(
        time_text=lambda seconds: show(seconds, Quantity.DURATION),
        pressure_text=pressure_text,
        unit_pa=unit_pa,
        unit=unit,
    )
