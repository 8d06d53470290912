"""How much glycol: from a freezing point, a hydrometer, or a share by volume, and the density of the pure glycols."""

from collections.abc import Callable

from commission.physics import glycol as mixture
from commission.physics import require
from commission.physics.gas import ICE_POINT_K
from commission.physics.glycol import HIGHEST_FRACTION, Glycol
from commission.physics.water import HIGHEST_K
from commission.physics.within import within

# Source: ASHRAE Handbook Fundamentals 2001 as transcribed by M. Skovrup: share by volume in per cent at the mass
# fractions below, also in per cent.
_BY_MASS = (0.0, 5.0, 10.0, 15.0, *(float(percent) for percent in range(20, 61)))
_BY_VOLUME = {
    Glycol.ETHYLENE: (
        *(0.0, 4.4, 8.9, 13.6, 18.1, 19.2, 20.1, 21.0, 22.0, 22.9, 23.9, 24.8, 25.8, 26.7, 27.7, 28.7, 29.6, 30.6),
        *(31.6, 32.6, 33.5, 34.5, 35.5, 36.5, 37.5, 38.5, 39.5, 40.5, 41.5, 42.5, 43.5, 44.5, 45.5, 46.6, 47.6, 48.6),
        *(49.6, 50.6, 51.6, 52.7, 53.7, 54.7, 55.7, 56.8, 57.8),
    ),
    Glycol.PROPYLENE: (
        *(0.0, 4.8, 9.6, 14.5, 19.4, 20.4, 21.4, 22.4, 23.4, 24.4, 25.3, 26.4, 27.4, 28.4, 29.4, 30.4, 31.4, 32.4),
        *(33.5, 34.4, 35.5, 36.5, 37.5, 38.5, 39.6, 40.6, 41.6, 42.6, 43.7, 44.7, 45.7, 46.8, 47.8, 48.9, 49.9, 50.9),
        *(51.9, 53.0, 54.0, 55.0, 56.0, 57.0, 58.0, 59.0, 60.0),
    ),
}
# Source: Perry's Chemical Engineers' Handbook, 8th ed., Table 2-32 (DIPPR equation 105): C1 [kmol/m3], C2, C3 [K],
# C4, and the molar mass [kg/kmol].
_PURE = {
    Glycol.ETHYLENE: (1.315, 0.25125, 720.0, 0.21868, 62.06784),
    Glycol.PROPYLENE: (1.0923, 0.26106, 626.0, 0.20459, 76.09442),
}

HYDROMETER_KG_M3 = 1.0
"""How far below water's density a hydrometer may read and still mean water [kg/m3]; our choice: one division of a
usual hydrometer."""


def fraction_for_freezing(glycol: Glycol, freezing_k: float) -> float:
    """Return the mass fraction that freezes at a given temperature.

    Parameters
    ----------
    glycol
        Which glycol [word].
    freezing_k
        Wanted freezing point, from that of a mass fraction of 0.60 to 273.15 [K].

    Returns
    -------
    float
        Mass fraction [1].

    Raises
    ------
    ValueError
        If no published mixture freezes there.

    Notes
    -----
    Inverse of ``freezing_point``, found by halving.

    Source: Melinder, IIF-IIR 2010, coefficients read from CoolProp's data for MEG and MPG.

    Examples
    --------
    Inverted with CoolProp 8.0.0: MPG for −10 °C 0.253825.

    >>> round(fraction_for_freezing(Glycol.PROPYLENE, 263.15), 6)
    0.253825
    """
    lowest = mixture.freezing_point(glycol, HIGHEST_FRACTION)
    within(lowest, ICE_POINT_K, freezing_k=freezing_k)
    return _halve(lambda x: freezing_k - mixture.freezing_point(glycol, x), 0.0, HIGHEST_FRACTION)


def fraction_for_density(glycol: Glycol, density_kg_m3: float, temperature_k: float) -> float:
    """Return the mass fraction that a hydrometer or a weighed volume tells.

    Parameters
    ----------
    glycol
        Which glycol [word].
    density_kg_m3
        Density, from 1 below that of water to that of a mass fraction of 0.60 [kg/m3].
    temperature_k
        Temperature of the liquid, 273.15 to 373.15 [K].

    Returns
    -------
    float
        Mass fraction [1].

    Raises
    ------
    ValueError
        If no published mixture has that density.

    Notes
    -----
    Inverse of ``density``, found by halving. The glycol must be known: the same density means half as much again of
    propylene as of ethylene glycol. 1 kg/m3 is about 0.0075 of ethylene and 0.011 of propylene glycol. A density up to
    water's, or to that of the thinnest fitted mixture, counts as water.

    Source: as ``fraction_for_freezing``.

    Examples
    --------
    Inverted with CoolProp 8.0.0: 1030 kg/m3 at 20 °C is MEG 0.242493 or MPG 0.371813.

    >>> [round(fraction_for_density(g, 1030.0, 293.15), 6) for g in Glycol]
    [0.242493, 0.371813]
    """
    within(ICE_POINT_K, HIGHEST_K, temperature_k=temperature_k)
    plain = mixture.density(glycol, 0.0, temperature_k)
    thinnest = mixture.density(glycol, 1e-9, temperature_k)
    densest = mixture.density(glycol, HIGHEST_FRACTION, temperature_k)
    within(min(plain, thinnest) - HYDROMETER_KG_M3, densest, density_kg_m3=density_kg_m3)
    if density_kg_m3 <= max(plain, thinnest):
        return 0.0
    return _halve(lambda x: mixture.density(glycol, x, temperature_k) - density_kg_m3, 1e-9, HIGHEST_FRACTION)


def mass_from_volume_fraction(glycol: Glycol, volume_fraction: float) -> float:
    """Return the mass fraction of a mixture that is labelled by volume.

    Parameters
    ----------
    glycol
        Which glycol [word].
    volume_fraction
        Share of glycol by volume, 0 to 0.578 (ethylene) or 0.60 (propylene), or 1 for pure glycol [1].

    Returns
    -------
    float
        Mass fraction [1].

    Raises
    ------
    ValueError
        If the share is out of range.

    Notes
    -----
    Read off a table in steps of 1 % by mass (5 % below 20 %), straight lines between. The table does not say whether
    the share is of the volumes before or after mixing; the two differ by up to 1 point, so ±0.01 is a fair doubt.

    Source: ASHRAE Handbook Fundamentals 2001, as transcribed by M. Skovrup and read in CoolProp's data.

    Examples
    --------
    The table has 49.6 % → 52 % and 50.6 % → 53 % for ethylene glycol; 50 % lies at 52.4 %:

    >>> round(mass_from_volume_fraction(Glycol.ETHYLENE, 0.50), 3)
    0.524
    """
    return _looked_up(_BY_VOLUME[glycol], _BY_MASS, volume_fraction=volume_fraction)


def volume_from_mass_fraction(glycol: Glycol, mass_fraction: float) -> float:
    """Return the share by volume that a label would state.

    Parameters
    ----------
    glycol
        Which glycol [word].
    mass_fraction
        Mass fraction, 0 to 0.60, or 1 for pure glycol [1].

    Returns
    -------
    float
        Share of glycol by volume [1].

    Raises
    ------
    ValueError
        If the fraction is out of range.

    Notes
    -----
    As ``mass_from_volume_fraction``, backwards.

    Source: as ``mass_from_volume_fraction``.

    Examples
    --------
    The table has 40 % → 37.5 % for ethylene and 39.6 % for propylene glycol:

    >>> [round(volume_from_mass_fraction(g, 0.40), 3) for g in Glycol]
    [0.375, 0.396]
    """
    return _looked_up(_BY_MASS, _BY_VOLUME[glycol], mass_fraction=mass_fraction)


def pure_density(glycol: Glycol, temperature_k: float) -> float:
    """Return the density of glycol without water.

    Parameters
    ----------
    glycol
        Which glycol [word].
    temperature_k
        Temperature, 273.15 to 373.15 [K].

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    ValueError
        If the temperature is out of range.

    Notes
    -----
    C1/C2^(1 + (1 − T/C3)^C4), times the molar mass. Holds far beyond this range; a loop needs no more. Glycol takes up
    water from the air, so an old bottle is lighter.

    Source: Perry's Chemical Engineers' Handbook, 8th ed., Table 2-32, coefficients read from the library chemicals.

    Examples
    --------
    The equation of state in CoolProp 8.0.0 gives 1036.364 kg/m3 for propylene glycol at 20 °C; Perry's is 0.02 off:

    >>> round(pure_density(Glycol.PROPYLENE, 293.15), 1)
    1036.3
    """
    within(ICE_POINT_K, HIGHEST_K, temperature_k=temperature_k)
    c1, c2, c3, c4, molar_mass = _PURE[glycol]
    exponent = 1.0 + float((1.0 - temperature_k / c3) ** c4)
    return float(molar_mass * c1 / c2**exponent)


def _looked_up(table: tuple[float, ...], wanted: tuple[float, ...], **fraction: float) -> float:
    """Return a fraction read off two columns in per cent, or 1 for 1."""
    require.finite(**fraction)
    (percent,) = (100 * value for value in fraction.values())
    if percent == 100:
        return 1.0
    within(0.0, table[-1] / 100, **fraction)
    above = next((row for row, value in enumerate(table) if value > percent), len(table) - 1)
    below = above - 1
    share = (percent - table[below]) / (table[above] - table[below])
    return (wanted[below] + share * (wanted[above] - wanted[below])) / 100


def _halve(rising: Callable[[float], float], low: float, high: float) -> float:
    """Return where a rising function passes 0, to the last digit that matters."""
    while high - low > 1e-12:
        middle = (low + high) / 2
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2
