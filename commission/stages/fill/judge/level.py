"""Levels in a reservoir: what they hold, the headspace above them, and what only the temperature did."""

from __future__ import annotations

import math

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.physics.loop_volume import Uncertain
from commission.physics.vessels import level_volume, ring_area
from commission.stages.fill.model.fill import Reservoir
from commission.units.show import show


def check_reservoir(reservoir: Reservoir) -> None:
    """Refuse a reservoir that no one can build.

    Raises
    ------
    InputError
        If a dimension is not above 0, or the tube in it is as wide as it.

    Notes
    -----
    An insert of 0 means none.

    Source: geometry.

    Examples
    --------
    >>> check_reservoir(Reservoir(bore_m=0.06, height_m=0.0))
    Traceback (most recent call last):
    commission.base.errors.InputError: a reservoir needs a bore and a height above 0; measure its straight part
    """
    if not (reservoir.bore_m > 0 and reservoir.height_m > 0 and reservoir.above_m3 >= 0):
        raise InputError("a reservoir needs a bore and a height above 0; measure its straight part")
    if not 0 <= reservoir.insert_m < reservoir.bore_m:
        raise InputError("the tube in the reservoir must be thinner than its bore; check both")


U_LEVEL_M = 0.5e-3
"""Standard uncertainty of reading a level [m]; our choice: what an eye sees of a meniscus without a reading aid."""


def content_below(reservoir: Reservoir, level_m: float) -> Uncertain:
    """Return the volume from the zero mark up to a level.

    Parameters
    ----------
    level_m
        Level above the zero mark [m].

    Returns
    -------
    Uncertain
        Volume and its standard uncertainty [m3].

    Raises
    ------
    InputError
        If the level lies outside the straight part, or the reservoir makes no sense.

    Notes
    -----
    Source: ``physics.vessels``.

    Examples
    --------
    >>> content_below(Reservoir(bore_m=0.06, height_m=0.2), 0.25)
    Traceback (most recent call last):
    commission.base.errors.InputError: 250 mm is outside the straight part of the reservoir, 0 to 200 mm. ...
    """
    check_reservoir(reservoir)
    if not 0 <= level_m <= reservoir.height_m:
        raise InputError(
            f"{_mm(level_m)} is outside the straight part of the reservoir, 0 to {_mm(reservoir.height_m)}. "
            "Read from the zero mark"
        )
    volume = level_volume(level_m, reservoir.height_m, reservoir.bore_m, reservoir.insert_m)
    return Uncertain(volume, ring_area(reservoir.bore_m, reservoir.insert_m) * U_LEVEL_M)


def _mm(metres: float) -> str:
    return show(metres, Quantity.LENGTH, own="mm")


def headspace_above(reservoir: Reservoir, level_m: float) -> Uncertain:
    """Return the air above a level.

    Parameters
    ----------
    reservoir
        Its straight part and what lies above it [m and m3].
    level_m
        Level above the zero mark [m].

    Returns
    -------
    Uncertain
        Volume of air and its standard uncertainty [m3].

    Raises
    ------
    InputError
        As ``content_below``.

    Notes
    -----
    The cap's volume is taken as known to 20 %, and the bore to 1 % (our choice: a moulded cap, a tube as sold).

    Source: ``physics.vessels``.

    Examples
    --------
    Hand calculation: 50 mm of air at 2.827433 mL a millimetre, and 10 mL in the cap.

    >>> air = headspace_above(Reservoir(bore_m=0.06, height_m=0.2, above_m3=10e-6), 0.15)
    >>> f"{air.value * 1e6:.1f} mL"
    '151.4 mL'
    """
    below = content_below(reservoir, level_m)
    air = content_below(reservoir, reservoir.height_m).value - below.value
    return Uncertain(air + reservoir.above_m3, math.hypot(below.u, 0.02 * air, 0.2 * reservoir.above_m3))
