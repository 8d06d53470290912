"""The total of a fill after each amount, against the band of what the loop should take."""

from commission.base.quantity import Quantity
from commission.stages.fill.model.fill import FillPicture
from commission.ui.widgets.step_plot import StepPlot, Steps
from commission.units.show import show


def fill_steps(picture: FillPicture | None) -> Steps:
    """Return the running total of a fill against what the loop should take."""
    if picture is None:
        return Steps()
    count, total = len(picture.total_m3), picture.total_m3[-1]
    amounts = "1 amount" if count == 1 else f"{count} amounts"
    said = f"{show(total, Quantity.VOLUME, digits=3)} in after {amounts}"
    words = [("step", "total", "in")]
    if picture.low_m3 is not None and picture.high_m3 is not None:
        low, high = (show(m3, Quantity.VOLUME, digits=3) for m3 in (picture.low_m3, picture.high_m3))
        where = (
            "inside" if picture.low_m3 <= total <= picture.high_m3 else "below" if total < picture.low_m3 else "above"
        )
        said += f", {where} the expected {low} to {high}"
        words.append(("band", "expected, 95 %", "expected"))
    return Steps(
        values=picture.total_m3,
        errors=tuple(2 * u for u in picture.u_total_m3),
        from_floor=True,
        low=picture.low_m3,
        high=picture.high_m3,
        words=tuple(words),
        summary=said,
    )


class FillPlot(StepPlot):
    """The total after each amount, against the band of what the loop should take."""

    def __init__(self) -> None:
        super().__init__("amount")

    def show_picture(self, picture: FillPicture | None) -> None:
        """Show the picture of a fill."""
        self.show(fill_steps(picture))
