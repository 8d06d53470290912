"""Water with ethylene or propylene glycol: density, heat capacity, viscosity, freezing point.

The fraction is always the MASS of glycol over the mass of the mixture. 0 is water and uses the formulas of water.
"""

import math
from enum import StrEnum

from commission.physics import water
from commission.physics.gas import ICE_POINT_K
from commission.physics.require import within

HIGHEST_FRACTION = 0.60
"""Highest mass fraction for which properties are published [1]. Source: Melinder, IIF-IIR 2010."""


class Glycol(StrEnum):
    """Which glycol is in the water."""

    ETHYLENE = "ethylene glycol"
    PROPYLENE = "propylene glycol"


_Table = tuple[tuple[float, ...], ...]

# Source: Å. Melinder, "Properties of Secondary Working Fluids for Indirect Systems", IIF-IIR 2010, as carried in
# CoolProp's data for MEG and MPG. Row i, column j belongs to (T − T_b)^i · (x − x_b)^j.
_BASE = {Glycol.ETHYLENE: (304.878, 0.308462), Glycol.PROPYLENE: (305.8583, 0.307031)}
_DENSITY: dict[Glycol, _Table] = {
    Glycol.ETHYLENE: (
        (1034.0, 131.1, 0.749, -106.2, -96.23, 489.1),
        (-0.4781, -0.6876, 0.7855, 1.229, -7.211),
        (-2.692e-3, 4.805e-3, -3.995e-3, -1.153e-2),
        (4.725e-6, 1.69e-6, 4.982e-5),
    ),
    Glycol.PROPYLENE: (
        (1018.0, 76.04, -24.98, -155.0, -113.1, 234.2),
        (-0.5406, -0.945, 0.27, 2.829, -2.221),
        (-2.666e-3, 5.541e-3, -4.018e-3, -7.175e-3),
        (1.347e-5, -1.343e-5, 3.376e-5),
    ),
}
_HEAT_CAPACITY: dict[Glycol, _Table] = {
    Glycol.ETHYLENE: (
        (3737.0, -1799.0, -993.3, 2610.0, 1537.0, -16180.0),
        (2.93, 10.46, 3.516, -1.189, -42.72),
        (-4.675e-3, -4.147e-2, 5.109e-2, -0.1643),
        (-1.389e-5, 1.847e-5, -7.138e-4),
    ),
    Glycol.PROPYLENE: (
        (3882.0, -1304.0, -1598.0, 353.9, 5000.0, -4959.0),
        (2.699, 5.07, 0.9534, 31.02, -71.35),
        (-1.659e-3, -4.752e-3, 0.1167, -0.295),
        (-1.032e-5, 1.522e-4, -4.87e-4),
    ),
}
_LOG_VISCOSITY: dict[Glycol, _Table] = {
    Glycol.ETHYLENE: (
        (-6.437255, 2.471, 0.03328, 1.659, 3.089, -18.65),
        (-0.0255, -0.01171, 0.01086, 3.157e-3, 0.01831),
        (1.782e-4, 1.052e-4, 1.051e-4, 4.063e-4),
        (-7.669e-7, -1.634e-6, -6.475e-6),
    ),
    Glycol.PROPYLENE: (
        (-6.224055, 3.328, 0.5453, -3.9, -1.587, 35.64),
        (-0.03045, -0.03984, -8.6e-4, 0.1054, 0.04475),
        (2.525e-4, 4.332e-4, -1.593e-4, -1.589e-3),
        (-1.399e-6, -1.86e-6, -4.465e-7),
    ),
}
_FREEZING = {
    Glycol.ETHYLENE: (257.9, -80.8, -133.4, -72.93, 100.6, 11.4),
    Glycol.PROPYLENE: (259.9, -66.31, -109.4, -228.3, -340.9, 146.5),
}


def density(glycol: Glycol, mass_fraction: float, temperature_k: float) -> float:
    """Return the density of a mixture.

    Parameters
    ----------
    glycol
        Which glycol [word].
    mass_fraction
        Mass of glycol over mass of the mixture, 0 to 0.60 [1].
    temperature_k
        Temperature, from the freezing point to 373.15 [K].

    Returns
    -------
    float
        Density at the pressure of a room [kg/m3].

    Raises
    ------
    ValueError
        If the fraction is out of range, or the mixture would freeze or boil.

    Notes
    -----
    Pure glycol and water. Products hold inhibitors and dye: another published set, for inhibited fluids, lies up to
    0.9 % higher, so a maker's density is better. At fractions near 0 the mixture's fit leaves water's by up to
    0.9 kg/m3.

    Source: Melinder, IIF-IIR 2010, coefficients read from CoolProp's data for MEG and MPG.

    Examples
    --------
    CoolProp 8.0.0, MPG with a mass fraction of 0.30 at 20 °C: 1023.785 kg/m3.

    >>> round(density(Glycol.PROPYLENE, 0.30, 293.15), 3)
    1023.785
    """
    _check(glycol, mass_fraction, temperature_k)
    if mass_fraction == 0:
        return water.density(temperature_k)
    return _surface(_DENSITY, glycol, mass_fraction, temperature_k)


def heat_capacity(glycol: Glycol, mass_fraction: float, temperature_k: float) -> float:
    """Return the specific heat capacity of a mixture.

    Parameters
    ----------
    glycol
        Which glycol [word].
    mass_fraction
        Mass of glycol over mass of the mixture, 0 to 0.60 [1].
    temperature_k
        Temperature, from the freezing point to 373.15 [K].

    Returns
    -------
    float
        Isobaric heat capacity [J/(kg·K)].

    Raises
    ------
    ValueError
        If the fraction is out of range, or the mixture would freeze or boil.

    Notes
    -----
    Two published sets differ by up to 0.9 %.

    Source: as ``density``.

    Examples
    --------
    CoolProp 8.0.0, MPG with a mass fraction of 0.30 at 20 °C: 3857.00 J/(kg·K).

    >>> round(heat_capacity(Glycol.PROPYLENE, 0.30, 293.15), 2)
    3857.0
    """
    _check(glycol, mass_fraction, temperature_k)
    if mass_fraction == 0:
        return water.heat_capacity(temperature_k)
    return _surface(_HEAT_CAPACITY, glycol, mass_fraction, temperature_k)


def viscosity(glycol: Glycol, mass_fraction: float, temperature_k: float) -> float:
    """Return the dynamic viscosity of a mixture.

    Parameters
    ----------
    glycol
        Which glycol [word].
    mass_fraction
        Mass of glycol over mass of the mixture, 0 to 0.60 [1].
    temperature_k
        Temperature, from the freezing point to 373.15 [K].

    Returns
    -------
    float
        Dynamic viscosity [Pa·s].

    Raises
    ------
    ValueError
        If the fraction is out of range, or the mixture would freeze or boil.

    Notes
    -----
    Two published sets differ by up to 7 %.

    Source: as ``density``.

    Examples
    --------
    CoolProp 8.0.0, MPG with a mass fraction of 0.30 at 20 °C: 2.96498 mPa·s.

    >>> round(viscosity(Glycol.PROPYLENE, 0.30, 293.15) * 1e3, 5)
    2.96498
    """
    _check(glycol, mass_fraction, temperature_k)
    if mass_fraction == 0:
        return water.viscosity(temperature_k)
    return math.exp(_surface(_LOG_VISCOSITY, glycol, mass_fraction, temperature_k))


def freezing_point(glycol: Glycol, mass_fraction: float) -> float:
    """Return the temperature at which the first ice forms.

    Parameters
    ----------
    glycol
        Which glycol [word].
    mass_fraction
        Mass of glycol over mass of the mixture, 0 to 0.60 [1].

    Returns
    -------
    float
        Freezing point [K].

    Raises
    ------
    ValueError
        If the fraction is out of range.

    Notes
    -----
    Two published sets differ by up to 2.2 K. Below it a slush forms; nothing is said of when it bursts a part.

    Source: as ``density``.

    Examples
    --------
    CoolProp 8.0.0, MPG with a mass fraction of 0.30: −12.7891 °C.

    >>> round(freezing_point(Glycol.PROPYLENE, 0.30) - 273.15, 4)
    -12.7891
    """
    within(0.0, HIGHEST_FRACTION, mass_fraction=mass_fraction)
    if mass_fraction == 0:
        return ICE_POINT_K
    return min(ICE_POINT_K, _horner(_FREEZING[glycol], mass_fraction - _BASE[glycol][1]))


def _check(glycol: Glycol, mass_fraction: float, temperature_k: float) -> None:
    """Refuse a state outside the published range."""
    lowest = freezing_point(glycol, mass_fraction)
    if temperature_k < lowest:
        raise ValueError(f"temperature_k {temperature_k:g} is below the freezing point of this mixture, {lowest:.2f}")
    within(lowest, water.HIGHEST_K, temperature_k=temperature_k)


def _surface(tables: dict[Glycol, _Table], glycol: Glycol, mass_fraction: float, temperature_k: float) -> float:
    base_k, base_fraction = _BASE[glycol]
    rows = (_horner(row, mass_fraction - base_fraction) for row in tables[glycol])
    return _horner(tuple(rows), temperature_k - base_k)


def _horner(coefficients: tuple[float, ...], x: float) -> float:
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total
