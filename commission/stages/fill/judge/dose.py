"""An amount of coolant from what was typed: a volume, two marks on a bottle, or two weights."""

from __future__ import annotations

import math

from commission.base.errors import InputError
from commission.base.quantity import Measured, Quantity
from commission.physics.loop_volume import Uncertain
from commission.physics.weighing import volume_by_weight
from commission.stages.fill.judge.liquid import Liquid, density_of
from commission.stages.fill.model.fill import Dose, Way
from commission.units.show import show
from commission.units.worded import worded

LARGEST_M3 = 0.02
"""More than this at once is a slip of a unit [m3] (20 L); our choice: several times the largest loop that a person
bleeds."""


def dose_by_volume(
    liquid: Liquid,
    volume_m3: Uncertain,
    at_k: Uncertain,
    *,
    cup_u: float = 0.02,
    way: Way = Way.VOLUME,
    inputs: tuple[Measured, ...] = (),
) -> Dose:
    """Return an amount that was measured in a cup or a syringe, or estimated.

    Parameters
    ----------
    volume_m3
        Volume as read, above 0, and the standard uncertainty of reading it [m3].
    at_k
        Temperature of the liquid and its standard uncertainty [K].
    cup_u
        Relative standard uncertainty of the scale on the cup, the same each time [1].
    inputs
        What was typed [text].

    Returns
    -------
    Dose
        Volume and mass with their uncertainties [m3 and kg].

    Raises
    ------
    InputError
        If the volume is not above 0, far too large, or the liquid would be frozen or boil.

    Notes
    -----
    A kitchen cup is good to 2 to 5 %, a syringe to 1 to 2 % (common practice, no source).

    Source: definition of density.

    Examples
    --------
    >>> from commission.stages.fill.judge.liquid import WATER
    >>> dose = dose_by_volume(WATER, Uncertain(100e-6, 1e-6), Uncertain(293.15))
    >>> f"{dose.mass_kg * 1e3:.1f} g, {dose.u_volume_m3 * 1e6:.2f} mL"
    '99.8 g, 2.24 mL'
    """
    _check_volume(volume_m3.value)
    density = density_of(liquid, at_k)
    return Dose(
        way=way,
        volume_m3=volume_m3.value,
        at_k=at_k.value,
        u_reading_m3=volume_m3.u,
        u_shared_m3=cup_u * volume_m3.value,
        mass_kg=None if density is None else volume_m3.value * density.value,
        inputs=inputs,
    )


def dose_by_level(
    liquid: Liquid,
    before_m3: Uncertain,
    after_m3: Uncertain,
    at_k: Uncertain,
    *,
    scale_u: float = 0.02,
    inputs: tuple[Measured, ...] = (),
) -> Dose:
    """Return an amount from the marks on the bottle before and after.

    Parameters
    ----------
    before_m3
        Reading before, and the standard uncertainty of reading it [m3].
    after_m3
        Reading after, below that before, and the standard uncertainty of reading it [m3].
    at_k
        Temperature of the bottle and its standard uncertainty [K].
    scale_u
        Relative standard uncertainty of the marks [1].
    inputs
        What was typed [text].

    Returns
    -------
    Dose
        Volume and mass with their uncertainties [m3 and kg].

    Raises
    ------
    InputError
        If the bottle is fuller after than before, or a reading makes no sense.

    Notes
    -----
    As ``dose_by_volume`` with two readings.

    Source: JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> from commission.stages.fill.judge.liquid import WATER
    >>> dose = dose_by_level(WATER, Uncertain(1e-3, 5e-6), Uncertain(0.4e-3, 5e-6), Uncertain(293.15))
    >>> round(dose.volume_m3 * 1e6)
    600
    """
    if after_m3.value < 0:
        raise InputError("a bottle cannot hold less than nothing; type the mark after pouring")
    if not after_m3.value < before_m3.value:
        raise InputError(
            f"the bottle stood at {_ml(before_m3.value)} before and {_ml(after_m3.value)} after: "
            "nothing came out; type the mark before first"
        )
    poured = Uncertain(before_m3.value - after_m3.value, math.hypot(before_m3.u, after_m3.u))
    return dose_by_volume(liquid, poured, at_k, cup_u=scale_u, way=Way.LEVEL, inputs=inputs)


def dose_by_weight(
    liquid: Liquid,
    before_kg: Uncertain,
    after_kg: Uncertain,
    at_k: Uncertain,
    *,
    inputs: tuple[Measured, ...] = (),
) -> Dose:
    """Return an amount from the weight of the bottle before and after.

    Parameters
    ----------
    before_kg
        Weight before, and its standard uncertainty [kg].
    after_kg
        Weight after, below that before, and its standard uncertainty [kg].
    at_k
        Temperature of the bottle and its standard uncertainty [K].
    inputs
        What was typed [text].

    Returns
    -------
    Dose
        Volume at the temperature of the bottle and mass, with their uncertainties [m3 and kg].

    Raises
    ------
    InputError
        If the bottle is heavier after than before, its density is not known, or it would be frozen or boil.

    Notes
    -----
    The density is that at the temperature of the bottle, not of the loop. Its doubt is shared by all amounts from the
    same bottle.

    Source: ``physics.weighing``.

    Examples
    --------
    >>> from commission.stages.fill.judge.liquid import WATER
    >>> dose = dose_by_weight(WATER, Uncertain(1.1846, 3e-4), Uncertain(0.5312, 3e-4), Uncertain(295.15))
    >>> round(dose.volume_m3 * 1e6, 1)
    654.9
    """
    if after_kg.value < 0:
        raise InputError("a weight below 0: set the scale to zero with nothing on it and weigh the bottle again")
    if not after_kg.value < before_kg.value:
        raise InputError(
            f"the bottle weighed {before_kg.value * 1e3:.5g} g before and {after_kg.value * 1e3:.5g} g after: "
            "nothing came out; type the weight before first"
        )
    density = density_of(liquid, at_k)
    if density is None:
        raise InputError(
            worded(
                "the density of this liquid is unknown, so a weight gives no volume. Type the "
                "density of its data sheet, or weigh 100 mL of it"
            )
        )
    volume = volume_by_weight(before_kg, after_kg, density)
    _check_volume(volume.value)
    # the same formula once with the scale's doubt alone and once with the density's, since bottles share the latter
    reading = volume_by_weight(before_kg, after_kg, Uncertain(density.value))
    shared = volume_by_weight(Uncertain(before_kg.value), Uncertain(after_kg.value), density)
    return Dose(
        way=Way.WEIGHED,
        volume_m3=volume.value,
        at_k=at_k.value,
        u_reading_m3=reading.u,
        u_shared_m3=shared.u,
        mass_kg=before_kg.value - after_kg.value,
        inputs=inputs,
    )


def check_against_bottle(dose: Dose, remaining_m3: float) -> None:
    """Refuse an amount that the bottle cannot have held.

    Parameters
    ----------
    remaining_m3
        What is left in the bottle by the record [m3].

    Raises
    ------
    InputError
        If it is more than was left, beyond its own uncertainty (k = 2).

    Notes
    -----
    A bottle is often filled a little above its nominal size, so 2 % of what was left are allowed as well.

    Source: none; common practice.

    Examples
    --------
    >>> from commission.stages.fill.judge.liquid import WATER
    >>> dose = dose_by_volume(WATER, Uncertain(1.5e-3), Uncertain(293.15))
    >>> check_against_bottle(dose, 1e-3)
    Traceback (most recent call last):
    commission.base.errors.InputError: the bottle has 1000 mL left as logged, not 1500 mL; type less, or add a bottle
    >>> check_against_bottle(dose, -10e-6)
    Traceback (most recent call last):
    commission.base.errors.InputError: the bottle gave 10 mL more than it held as logged; type less, or add a bottle
    """
    if dose.volume_m3 > max(remaining_m3, 0.0) * 1.02 + 2 * dose.u_volume_m3:
        left = f"has {_ml(remaining_m3)} left as logged, not {_ml(dose.volume_m3)}"
        if remaining_m3 < 0:
            left = f"gave {_ml(-remaining_m3)} more than it held as logged"
        raise InputError(f"the bottle {left}; type less, or add a bottle")


def _ml(m3: float) -> str:
    return show(m3, Quantity.VOLUME, own="mL")


def _check_volume(volume_m3: float) -> None:
    if not volume_m3 > 0:
        raise InputError("an amount must be above 0; type what came in or out")
    if volume_m3 > LARGEST_M3:
        raise InputError(
            f"{show(volume_m3, Quantity.VOLUME, own='L')} at once is more than any loop holds; check the unit"
        )
