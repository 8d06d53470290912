"""What pumping up does to the temperature of the gas, and how soon that is over."""

from commission.physics import require
from commission.physics.gas import AIR_HEAT_RATIO

FIRST_ZERO_OF_J0 = 2.404825557695773
"""First zero of the Bessel function J0 [1]. Source: DLMF, Table 10.21.1."""
AIR_DIFFUSIVITY_M2_S = 1.42891e-5
"""Thermal diffusivity of air at 20 °C and 1.513 bar absolute [m2/s]. Source: CoolProp 8.0.0."""


def temperature_after_fill(
    supply_k: float, start_pa: float, end_pa: float, heat_ratio: float = AIR_HEAT_RATIO
) -> float:
    """Return the temperature of the gas in a rigid vessel right after it was filled.

    Parameters
    ----------
    supply_k
        Temperature of the supply and of the gas in the vessel before, above 0 [K].
    start_pa
        Absolute pressure before, above 0 [Pa].
    end_pa
        Absolute pressure after, not below start_pa [Pa].
    heat_ratio
        Ratio of heat capacities γ, above 1 [1].

    Returns
    -------
    float
        Temperature, between supply_k and γ·supply_k [K].

    Raises
    ------
    ValueError
        If a value is not finite, not positive, γ is not above 1, or the pressure fell.

    Notes
    -----
    T2 = γ·T0·p2/(p2 + (γ − 1)·p1), energy balance of an ideal gas without heat to the wall: an upper bound, for
    some heat always goes. Filling an empty vessel gives γ·T0.

    Source: first law for an open system, e.g. M. J. Moran, H. N. Shapiro, "Fundamentals of Engineering
    Thermodynamics", ch. on transient analysis (from memory).

    Examples
    --------
    Textbook limit: an evacuated vessel filled with air from 300 K reaches γ·300 K = 420 K.

    >>> round(temperature_after_fill(300, 1e-6, 1e5), 3)
    420.0
    """
    require.positive(supply_k=supply_k, start_pa=start_pa, end_pa=end_pa)
    require.positive(heat_ratio_above_one=heat_ratio - 1)
    if end_pa < start_pa:
        raise ValueError("end_pa must not be below start_pa: filling raises the pressure")
    return heat_ratio * supply_k / (1 + (heat_ratio - 1) * (start_pa / end_pa))


def temperature_after_compression(
    start_k: float, start_pa: float, end_pa: float, heat_ratio: float = AIR_HEAT_RATIO
) -> float:
    """Return the temperature of gas compressed by a piston without heat to the wall.

    Parameters
    ----------
    start_k
        Temperature before, above 0 [K].
    start_pa
        Absolute pressure before, above 0 [Pa].
    end_pa
        Absolute pressure after, above 0 [Pa].
    heat_ratio
        Ratio of heat capacities γ, above 1 [1].

    Returns
    -------
    float
        Temperature after [K].

    Raises
    ------
    ValueError
        If a value is not finite or not positive, or γ is not above 1.

    Notes
    -----
    T2 = T1·(p2/p1)^((γ − 1)/γ), reversible and adiabatic: an upper bound for a hand pump on a small loop.

    Source: isentropic relation of an ideal gas.

    Examples
    --------
    Hand calculation: from 1 to 128 bar with γ = 1.4 the exponent is 2/7, and 128^(2/7) = 2² = 4.

    >>> round(temperature_after_compression(300, 1e5, 128e5), 9)
    1200.0
    """
    require.positive(start_k=start_k, start_pa=start_pa, end_pa=end_pa)
    require.positive(heat_ratio_above_one=heat_ratio - 1)
    return float(start_k * (end_pa / start_pa) ** ((heat_ratio - 1) / heat_ratio))


def fall_on_cooling(end_pa: float, filled_k: float, surroundings_k: float) -> float:
    """Return how far the pressure falls while the gas cools to its surroundings, with no leak.

    Parameters
    ----------
    end_pa
        Absolute pressure right after filling, above 0 [Pa].
    filled_k
        Temperature of the gas right after filling, above 0 [K].
    surroundings_k
        Temperature to which it goes, above 0 [K].

    Returns
    -------
    float
        Fall, negative where the gas warms up [Pa].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0.

    Notes
    -----
    p2·(1 − T0/T2) at constant volume and amount. This is why the first minutes of a hold are left out.

    Source: Gay-Lussac's law.

    Examples
    --------
    Hand calculation: gas at 1.5 bar that cools from 330 K to 297 K loses a tenth.

    >>> round(fall_on_cooling(150_000, 330, 297), 6)
    15000.0
    """
    require.positive(end_pa=end_pa, filled_k=filled_k, surroundings_k=surroundings_k)
    return end_pa * (1 - surroundings_k / filled_k)


def gas_time_constant(radius_m: float, diffusivity_m2_s: float = AIR_DIFFUSIVITY_M2_S) -> float:
    """Return the time constant with which still gas in a long tube follows its wall.

    Parameters
    ----------
    radius_m
        Inner radius, above 0 [m].
    diffusivity_m2_s
        Thermal diffusivity of the gas at its pressure, above 0 [m2/s].

    Returns
    -------
    float
        Time constant of the slowest mode [s].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0.

    Notes
    -----
    τ = r²/(α·2.4048²): conduction only, wall held at one temperature. Real gas moves and is faster. What settles
    more slowly than this is hardware, hands and tubes.

    Source: H. S. Carslaw and J. C. Jaeger, "Conduction of Heat in Solids", infinite cylinder (from memory).

    Examples
    --------
    A tube of 10 mm bore, computed with CoolProp's diffusivity: 0.3 s.

    >>> round(gas_time_constant(0.005), 1)
    0.3
    """
    require.positive(radius_m=radius_m, diffusivity_m2_s=diffusivity_m2_s)
    return radius_m * radius_m / (diffusivity_m2_s * FIRST_ZERO_OF_J0**2)
