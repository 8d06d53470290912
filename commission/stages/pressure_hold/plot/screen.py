"""Beside the card of the pressure hold: its clock and its curve."""

from commission.base.quantity import Quantity
from commission.bench.ask import Flow
from commission.stages.pressure_hold.card.hold import HoldFlow, Phase
from commission.stages.pressure_hold.plot.curve import CurveAxes, HoldCurve
from commission.ui.screens.beside import Beside
from commission.ui.widgets.hold_clock import HoldClock
from commission.units.chosen import unit_for
from commission.units.parse import parse
from commission.units.show import show


class HoldBeside(Beside):
    """The curve of the hold that runs or has ended, and the clock while it runs."""

    def __init__(self, flow: Flow) -> None:
        assert isinstance(flow, HoldFlow)
        self.flow = flow
        self.plot: HoldCurve = HoldCurve()
        self.clock: HoldClock = HoldClock()

    def shown(self) -> None:
        """Set the clock and draw the curve."""
        self._tell_time()
        match self.flow.phase:
            case Phase.RUNNING:
                picture = self.flow.running.picture
                if self.new(picture):
                    self.plot.show(
                        picture,
                        empty="The curve begins with the second reading.",
                        axes=_axes(self.flow.hand.plan.gauge.unit),
                    )
            case Phase.AFTER if self.new(self._judged):
                self.plot.show(None, empty="The curve is being drawn.")
                self.plot.call_after_refresh(self._draw_judged)

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
            self.plot.show(self.flow.after.picture, empty="Too few readings for a curve.", axes=_axes(plan.gauge.unit))

    def tick(self, *, typing: bool) -> bool:
        """Move the clock, and judge again where something is new."""
        if self.flow.phase is not Phase.RUNNING:
            return False
        self._tell_time()
        busy = typing and self.flow.running.slow
        return not busy and self.flow.look()

    def _tell_time(self) -> None:
        if self.flow.phase is Phase.RUNNING:
            running = self.flow.running
            self.clock.tick(running.times())
            self.clock.read(running.last_pressure())


def _axes(gauge_unit: str) -> CurveAxes:
    unit = unit_for(Quantity.PRESSURE_DIFFERENCE, gauge_unit) or gauge_unit
    unit_pa = parse(f"1 {unit}", Quantity.PRESSURE_DIFFERENCE).si

    def pressure_text(pa: float) -> str:
        return show(pa, Quantity.PRESSURE_DIFFERENCE, unit=unit, digits=3).partition(" ")[0]

    return CurveAxes(
        time_text=lambda seconds: show(seconds, Quantity.DURATION),
        pressure_text=pressure_text,
        unit_pa=unit_pa,
        unit=unit,
    )
