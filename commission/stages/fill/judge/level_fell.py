"""What is missing between two levels of a loop whose air is out."""

import math

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.physics.loop_volume import Uncertain
from commission.stages.fill.judge.liquid import Liquid, expansion
from commission.statistics.conformity import guard_band

U_TEMPERATURE_K = 0.5
"""Standard uncertainty of a typed temperature of the coolant [K]; our choice: what room thermometers print."""
U_WARMTH_UNKNOWN = 0.01
"""Relative standard uncertainty of the coolant's volume where a temperature was not read [1]; our choice: as a loop
between 20 and 55 degC, by which water grows 1.3 % (Kell 1975), and somewhat more for glycol."""
USUAL_M3 = 5e-6
"""Fall of a level that says nothing [m3]; our choice: as a visit's usual top-up, two readings of a mark."""
USUAL_M3_S = 1.9e-12
"""Loss through tube and seals that is usual [m3/s]; our choice: 5 mL a month, as a visit's."""


class Shown(Frozen):
    """What a reservoir showed once."""

    content_m3: Uncertain
    """Its content [m3]."""
    at_k: float | None
    """The coolant [K]; None where it was not read."""


def missing_between(before: Shown, after: Shown, moved_m3: Uncertain, loop_m3: float, liquid: Liquid) -> Uncertain:
    """Return what is missing at the second of two levels [m3], below 0 where there is more.

    Parameters
    ----------
    moved_m3
        What was poured less what was taken out between them [m3].
    loop_m3
        Coolant in the whole loop, all of which widens [m3].

    Notes
    -----
    Source: conservation of mass.

    Examples
    --------
    Hand calculation: 120 mL fell to 60 mL at one temperature, and 10 mL were poured: 70 mL are missing.

    >>> from commission.stages.fill.judge.liquid import WATER
    >>> full, low = (Shown(content_m3=Uncertain(ml * 1e-6), at_k=293.15) for ml in (120, 60))
    >>> round(missing_between(full, low, Uncertain(10e-6), 0.0, WATER).value * 1e6, 3)
    70.0
    """
    grown, u_grown = 0.0, U_WARMTH_UNKNOWN * math.sqrt(2)
    if before.at_k is not None and after.at_k is not None:
        try:
            factor = expansion(liquid, before.at_k, after.at_k)
            per_k = abs(expansion(liquid, after.at_k, after.at_k + 1.0).value - 1.0)
            grown, u_grown = factor.value - 1.0, math.hypot(factor.u, per_k * U_TEMPERATURE_K * math.sqrt(2))
        except InputError:  # frozen or boiling by what is known of it
            pass
    value = before.content_m3.value + moved_m3.value + loop_m3 * grown - after.content_m3.value
    return Uncertain(value, math.hypot(before.content_m3.u, after.content_m3.u, moved_m3.u, loop_m3 * u_grown))


def surely_gone(missing: Uncertain, over_s: float) -> float:
    """Return by how much more than usual coolant is missing for sure [m3]; 0 where it is not.

    Parameters
    ----------
    missing
        What is missing [m3].
    over_s
        In what time [s].

    Notes
    -----
    Source: JCGM 106:2012, a one-sided guard band of 95 %; the usual loss is our choice.
    """
    sure = missing.value - guard_band(missing.u)
    return sure if sure > USUAL_M3 + USUAL_M3_S * max(0.0, over_s) else 0.0
