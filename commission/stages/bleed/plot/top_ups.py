"""The top-ups of a bleed, cycle by cycle, with the tail that is fitted to them and the limit of the rule."""

from commission.base.curve import Curve
from commission.stages.bleed.model import BleedPicture, BleedRule
from commission.stages.bleed.rows.figures import picture_said
from commission.ui.widgets.step_plot import NO_CURVE, Steps


def bleed_steps(picture: BleedPicture | None, rule: BleedRule) -> Steps:
    """Return the top-ups of a bleed with their tail."""
    if picture is None:
        return Steps()
    tilted = tuple(number for number, new in zip(picture.number, picture.new_series, strict=True) if new)
    fit = NO_CURVE
    if picture.tail_number:
        fit = Curve(elapsed_s=picture.tail_number, pressure_pa=picture.tail_m3)
    words = [("step", "top-up", "took")]
    words += [("special", "first after tilting", "tilted")] if tilted else []
    words += [("fit", "fitted tail", "tail")] if fit.elapsed_s else []
    words.append(("limit", "limit", "limit"))
    return Steps(
        values=picture.gone_m3,
        errors=picture.resolution_m3,
        from_floor=True,
        special=tilted,
        fit=fit,
        limit=rule.top_up_m3,
        words=tuple(words),
        summary=picture_said(picture, rule),
    )
