"""A leak as a fine round hole: how wide it is, how much liquid would come out."""

import math

from commission.physics import require

AIR_VISCOSITY_PA_S = 1.82056752e-5
"""Dynamic viscosity of air at 20 °C [Pa·s]. Source: CoolProp 8.0.0."""
WATER_VISCOSITY_PA_S = 1.00159614e-3
"""Dynamic viscosity of water at 20 °C [Pa·s]. Source: CoolProp 8.0.0."""


def capillary_diameter(
    leak_rate_pa_m3_s: float,
    length_m: float,
    inside_pa: float,
    outside_pa: float,
    viscosity_pa_s: float = AIR_VISCOSITY_PA_S,
) -> float:
    """Return the diameter of the round hole that would pass a leak rate.

    Parameters
    ----------
    leak_rate_pa_m3_s
        Leak rate, 0 or more [Pa·m3/s].
    length_m
        Length of the hole, above 0 [m].
    inside_pa
        Absolute pressure inside, above outside_pa [Pa].
    outside_pa
        Absolute pressure outside, 0 or more [Pa].
    viscosity_pa_s
        Dynamic viscosity of the gas, above 0 [Pa·s].

    Returns
    -------
    float
        Diameter [m].

    Raises
    ------
    ValueError
        If a value is not finite or out of range.

    Notes
    -----
    From Q = π·d⁴·(P1² − P2²)/(256·η·l): laminar, constant temperature, tube long compared with its diameter, diameter
    well above 1 µm (the mean free path at 1.26 bar is 0.05 µm). A picture of the leak, not its shape: gaps along a seal
    are wide and flat.

    Source: Hagen-Poiseuille law for an ideal gas (textbook, from memory).

    Examples
    --------
    Computed from the law: 20 µm by 10 mm at 0.5 bar gauge passes 1.36242438e-3 mbar·L/s (1 Pa·m3/s = 10 mbar·L/s).

    >>> round(capillary_diameter(1.36242438e-4, 10e-3, 151_325, 101_325) * 1e6, 6)
    20.0
    """
    require.not_negative(leak_rate_pa_m3_s=leak_rate_pa_m3_s, outside_pa=outside_pa)
    require.positive(length_m=length_m, viscosity_pa_s=viscosity_pa_s)
    require.positive(pressure_difference_pa=inside_pa - outside_pa)
    squares = (inside_pa - outside_pa) * (inside_pa + outside_pa)
    return math.sqrt(math.sqrt(leak_rate_pa_m3_s * 256 * viscosity_pa_s * length_m / (math.pi * squares)))


def liquid_leak_rate(
    leak_rate_pa_m3_s: float,
    inside_pa: float,
    outside_pa: float,
    liquid_difference_pa: float,
    liquid_viscosity_pa_s: float = WATER_VISCOSITY_PA_S,
    gas_viscosity_pa_s: float = AIR_VISCOSITY_PA_S,
) -> float:
    """Return the liquid that would come out of a hole that passes a known leak rate of gas.

    Parameters
    ----------
    leak_rate_pa_m3_s
        Leak rate of the gas, 0 or more [Pa·m3/s].
    inside_pa
        Absolute pressure inside during the gas test, above outside_pa [Pa].
    outside_pa
        Absolute pressure outside during the gas test, 0 or more [Pa].
    liquid_difference_pa
        Pressure of the liquid above its surroundings in use, 0 or more [Pa].
    liquid_viscosity_pa_s
        Dynamic viscosity of the liquid, above 0 [Pa·s].
    gas_viscosity_pa_s
        Dynamic viscosity of the gas, above 0 [Pa·s].

    Returns
    -------
    float
        Flow of liquid, an upper bound [m3/s].

    Raises
    ------
    ValueError
        If a value is not finite or out of range.

    Notes
    -----
    q = Q·(2·η_gas/η_liquid)·Δp/(P1² − P2²): both laminar, same hole. An upper bound: surface tension holds liquid back
    in the finest holes and small seeps evaporate. In a test with water at 100 mbar in glass tubes nothing dripped
    from 10 or 20 µm within half an hour (leak-detection newsletter, February 2020), so do not rest on either.

    Source: Hagen-Poiseuille law for both fluids with the geometry eliminated (textbook, from memory).

    Examples
    --------
    Computed from the law: 1e-3 mbar·L/s of air at 0.5 bar gauge, then water at 0.2 bar: 0.497 mL a day at most.

    >>> round(liquid_leak_rate(1e-4, 151_325, 101_325, 20_000) * 86_400 * 1e6, 3)
    0.497
    """
    require.not_negative(leak_rate_pa_m3_s=leak_rate_pa_m3_s, outside_pa=outside_pa)
    require.not_negative(liquid_difference_pa=liquid_difference_pa)
    require.positive(liquid_viscosity_pa_s=liquid_viscosity_pa_s, gas_viscosity_pa_s=gas_viscosity_pa_s)
    require.positive(pressure_difference_pa=inside_pa - outside_pa)
    squares = (inside_pa - outside_pa) * (inside_pa + outside_pa)
    return leak_rate_pa_m3_s * (2 * gas_viscosity_pa_s / liquid_viscosity_pa_s) * liquid_difference_pa / squares
