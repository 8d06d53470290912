"""From an amount as it was typed to volume and mass, in the same way on the screen and in the shell."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.physics.detection import rectangular_uncertainty
from commission.procedure.model import Stage
from commission.stages.fill.model.fill import GUESSED, MARK, Dose, TypedAmount, Way

if TYPE_CHECKING:
    from commission.physics.loop_volume import Uncertain
    from commission.stages.fill.judge.liquid import Liquid


def dose_of(typed: TypedAmount, liquid: "Liquid", at_k: "Uncertain", stage: Stage) -> Dose:
    """Return volume and mass of an amount with their uncertainties.

    Raises
    ------
    InputError
        If it makes no sense.
    """
    try:
        return _dose(typed, liquid, at_k, stage)
    except ValueError as error:
        raise InputError(str(error)) from None


def _dose(typed: TypedAmount, liquid: "Liquid", at_k: "Uncertain", stage: Stage) -> Dose:
    from commission.physics.loop_volume import Uncertain
    from commission.stages.fill.judge.dose import dose_by_level, dose_by_volume, dose_by_weight

    inputs = (*typed.values, *((typed.at,) if typed.at else ()))
    first = typed.values[0].si
    second = typed.values[1].si if len(typed.values) > 1 else 0.0
    if typed.way is Way.WEIGHED:
        u = stage.limit("scale_u_kg") if typed.u is None else typed.u / 2**0.5
        return dose_by_weight(liquid, Uncertain(first, u), Uncertain(second, u), at_k, inputs=inputs)
    if typed.way is Way.LEVEL:
        u = rectangular_uncertainty(MARK * first)
        return dose_by_level(
            liquid, Uncertain(first, u), Uncertain(second, u), at_k, scale_u=stage.limit("cup_u"), inputs=inputs
        )
    guessed = typed.way is Way.ESTIMATED
    u = rectangular_uncertainty((GUESSED if guessed else MARK) * first) if typed.u is None else typed.u
    cup = 0.0 if guessed or typed.u is not None else stage.limit("cup_u")
    return dose_by_volume(liquid, Uncertain(first, u), at_k, cup_u=cup, way=typed.way, inputs=inputs)
