"""Heat that a coolant carries, and how sure that is."""

import math

from commission.physics import glycol, water
from commission.physics.glycol import Glycol
from commission.physics.require import finite, not_negative, positive


def heat_carried(
    flow_m3_s: float, warm_k: float, cool_k: float, base: Glycol | None = None, mass_fraction: float = 0.0
) -> float:
    """Return the heat that a flow of coolant gives off between two places.

    Parameters
    ----------
    flow_m3_s
        Flow, above 0 [m3/s].
    warm_k
        Temperature before, 273.15 to 373.15 [K].
    cool_k
        Temperature after, in the same range [K].
    base
        The glycol in it; None for water [word].
    mass_fraction
        Its share by mass, 0 to 0.60 [1].

    Returns
    -------
    float
        Heat [W]; negative where the second place is warmer.

    Raises
    ------
    ValueError
        If a figure is out of range.

    Notes
    -----
    Q = rho V cp (T1 - T2) with density and heat capacity at the mean temperature.

    Source: energy balance of a steady flow; properties as in ``physics.water`` and ``physics.glycol``.

    Examples
    --------
    CoolProp 8.0.0, 200 L/h of water from 36.0 to 34.3 degC: 392.332 W.

    >>> round(heat_carried(0.2 / 3600, 309.15, 307.45), 2)
    392.33
    """
    positive(flow_m3_s=flow_m3_s)
    finite(warm_k=warm_k, cool_k=cool_k)
    mean = (warm_k + cool_k) / 2
    if base is None:
        rho, cp = water.density(mean), water.heat_capacity(mean)
    else:
        rho, cp = glycol.density(base, mass_fraction, mean), glycol.heat_capacity(base, mass_fraction, mean)
    return rho * flow_m3_s * cp * (warm_k - cool_k)


def u_heat_carried(heat_w: float, drop_k: float, u_each_k: float, u_flow: float) -> float:
    """Return the standard uncertainty of such a heat.

    Parameters
    ----------
    heat_w
        The heat [W].
    drop_k
        Difference of the two temperatures, not 0 [K].
    u_each_k
        Standard uncertainty of each of them, 0 or more [K].
    u_flow
        Relative standard uncertainty of the flow, 0 or more [1].

    Returns
    -------
    float
        Standard uncertainty [W].

    Raises
    ------
    ValueError
        If a figure is out of range.

    Notes
    -----
    The two sensors and the flow meter err independently; density and heat capacity are taken as exact.

    Source: JCGM 100:2008, 5.1.2.

    Examples
    --------
    Worked: sqrt(2) 0.3 / 1.7 = 0.24957; with 0.05 together 0.25453; times 392.332 W is 99.86 W.

    >>> round(u_heat_carried(392.332, 1.7, 0.3, 0.05), 2)
    99.86
    """
    finite(heat_w=heat_w, drop_k=drop_k)
    not_negative(u_each_k=u_each_k, u_flow=u_flow)
    if drop_k == 0:
        raise ValueError("drop_k must not be 0")
    return abs(heat_w) * math.hypot(math.sqrt(2) * u_each_k / drop_k, u_flow)
