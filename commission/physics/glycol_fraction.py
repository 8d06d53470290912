"""How much glycol: by mass from a share by volume, and the density of the pure glycols."""

from commission.physics import require
from commission.physics.gas import ICE_POINT_K
from commission.physics.glycol import Glycol
from commission.physics.require import within
from commission.physics.water import HIGHEST_K

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
