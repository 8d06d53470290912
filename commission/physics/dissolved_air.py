"""Air dissolved in the coolant: how much water holds at a temperature, and what comes out when it warms."""

import math
from enum import StrEnum

from commission.physics import require, water
from commission.physics.gas import MOLAR_GAS_CONSTANT, STANDARD_ATMOSPHERE_PA
from commission.physics.require import within

LOWEST_K = 278.15
"""Lowest temperature at which all three gases have data [K]. Source: IAPWS G7-04, table 2 (nitrogen from 278.12 K)."""
WATER_MOLAR_MASS = 18.015268e-3
"""Molar mass of water [kg/mol]. Source: IAPWS-95."""


class AirGas(StrEnum):
    """The gases of dry air that count."""

    NITROGEN = "nitrogen"
    OXYGEN = "oxygen"
    ARGON = "argon"


SHARE = {AirGas.NITROGEN: 0.78084, AirGas.OXYGEN: 0.20946, AirGas.ARGON: 0.00934}
"""Share of each gas in dry air by amount [1]. Source: U.S. Standard Atmosphere 1976."""

# Source: IAPWS G7-04, Table 2: A, B, C.
_HENRY = {
    AirGas.NITROGEN: (-9.67578, 4.72162, 11.70585),
    AirGas.OXYGEN: (-9.44833, 4.43822, 11.42005),
    AirGas.ARGON: (-8.40954, 4.29587, 10.52779),
}


def henry_constant(gas: AirGas, temperature_k: float) -> float:
    """Return the pressure of a gas over the share of it that is dissolved in water.

    Parameters
    ----------
    gas
        Which gas [word].
    temperature_k
        Temperature, 278.15 to 373.15 [K].

    Returns
    -------
    float
        Henry's constant k_H = f/x [Pa].

    Raises
    ------
    ValueError
        If the temperature is out of range.

    Notes
    -----
    ln(k_H/p_s) = A/T_r + B·(1 − T_r)^0.355/T_r + C·T_r^−0.41·exp(1 − T_r), T_r = T/T_c.

    Source: IAPWS G7-04, equation 3 and Table 2, coefficients read from the library iapws 1.5.5.

    Examples
    --------
    The guideline's check values ln(k_H/GPa) at 300 K are 2.1716 for nitrogen and 1.5024 for oxygen:

    >>> [round(math.log(henry_constant(gas, 300.0) / 1e9), 4) for gas in (AirGas.NITROGEN, AirGas.OXYGEN)]
    [2.1716, 1.5024]
    """
    within(LOWEST_K, water.HIGHEST_K, temperature_k=temperature_k)
    reduced = temperature_k / water.CRITICAL_K
    a, b, c = _HENRY[gas]
    exponent = a / reduced + b * math.pow(1 - reduced, 0.355) / reduced
    exponent += c * math.pow(reduced, -0.41) * math.exp(1 - reduced)
    return water.saturation_pressure(temperature_k) * math.exp(exponent)


def dissolved_air(temperature_k: float, pressure_pa: float = STANDARD_ATMOSPHERE_PA) -> float:
    """Return the air that water holds in equilibrium with moist air above it.

    Parameters
    ----------
    temperature_k
        Temperature, 278.15 to 373.15 [K].
    pressure_pa
        Absolute pressure of the moist air, above that of the vapour [Pa].

    Returns
    -------
    float
        Amount of dissolved air in a volume of water [mol/m3].

    Raises
    ------
    ValueError
        If the temperature is out of range or the pressure is not above that of the vapour.

    Notes
    -----
    x = y·(p − p_v)/k_H for each gas. Another set of data lies 0.3 to 4 % lower; take ±5 %. No data for glycol mixtures
    were read; water's value counts as an upper bound there (from memory).

    Source: IAPWS G7-04; Henry's law.

    Examples
    --------
    NBS J. Res. 77A (1973) 133, Table 3, gives 16.85 mL of air (0 °C, 1 atm) in a litre at 25 °C; this is 2 % above:

    >>> round(dissolved_air(298.15) * 22.41396954e-3 * 1e3, 1)
    17.2
    """
    dry = pressure_pa - water.saturation_pressure(temperature_k)
    require.positive(pressure_above_vapour=dry)
    share = sum(SHARE[gas] * dry / henry_constant(gas, temperature_k) for gas in AirGas)
    return share * water.density(temperature_k) / WATER_MOLAR_MASS


def air_released(
    liquid_m3: float,
    from_k: float,
    to_k: float,
    *,
    from_pa: float = STANDARD_ATMOSPHERE_PA,
    to_pa: float = STANDARD_ATMOSPHERE_PA,
) -> float:
    """Return the air that comes out of a liquid when it warms, as a volume of dry air at the first temperature.

    Parameters
    ----------
    liquid_m3
        Volume of the liquid at from_k, 0 or more [m3].
    from_k
        Temperature at which it was filled, saturated with air, 278.15 to 373.15 [K].
    to_k
        Temperature it is warmed to, 278.15 to 373.15 [K].
    from_pa
        Absolute pressure at which it was saturated [Pa].
    to_pa
        Absolute pressure when warm [Pa].

    Returns
    -------
    float
        Volume at from_k and 101.325 kPa, 0 where nothing comes out [m3].

    Raises
    ------
    ValueError
        If a value is out of range.

    Notes
    -----
    An upper bound: water saturated at first, equilibrium at last. This air is new: it is neither a leak nor a bad
    bleed. Degassed water, or a loop that stays under pressure, gives less. The liquid's mass is kept.

    Source: IAPWS G7-04; Henry's law; ideal gas.

    Examples
    --------
    Computed with iapws 1.5.5 for a litre at both ends, 20 to 60 °C: 9.216 mL. The litre that grows holds 2 % more back:

    >>> round(air_released(1e-3, 293.15, 333.15) * 1e6, 1)
    9.0
    """
    require.not_negative(liquid_m3=liquid_m3)
    cold = dissolved_air(from_k, from_pa)
    warm = dissolved_air(to_k, to_pa) * water.density(from_k) / water.density(to_k)
    released = max(0.0, cold - warm) * liquid_m3
    return released * MOLAR_GAS_CONSTANT * from_k / STANDARD_ATMOSPHERE_PA
