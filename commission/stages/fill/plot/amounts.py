"""The total of a fill after each amount, against the band of what the loop should take."""

from commission.stages.fill.model.fill import FillPicture
from commission.stages.fill.rows.figures import picture_said
from commission.ui.widgets.step_plot import Steps


def fill_steps(picture: FillPicture | None) -> Steps:
    """Return the running total of a fill against what the loop should take."""
    if picture is None:
        return Steps()
    words = [("step", "total", "in")]
    if picture.low_m3 is not None and picture.high_m3 is not None:
        words.append(("band", "expected, 95 %", "expected"))
    return Steps(
        values=picture.total_m3,
        errors=tuple(2 * u for u in picture.u_total_m3),
        from_floor=True,
        low=picture.low_m3,
        high=picture.high_m3,
        words=tuple(words),
        summary=picture_said(picture),
    )
