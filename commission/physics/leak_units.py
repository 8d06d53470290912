"""A leak rate in other words: amount of gas per second, and standard volume per minute."""

from commission.physics import require
from commission.physics.gas import MOLAR_GAS_CONSTANT, STANDARD_ATMOSPHERE_PA

CM3_PER_M3 = 1e6
"""Cubic centimetres in a cubic metre [1]. Source: by definition of the prefix centi, SI Brochure 9."""
MINUTE_S = 60.0
"""One minute [s]. Source: by definition, SI Brochure 9, table 8."""


def molar_rate(leak_rate_pa_m3_s: float, gas_k: float) -> float:
    """Return a leak rate as amount of gas per time.

    Parameters
    ----------
    leak_rate_pa_m3_s
        Leak rate referred to gas_k [Pa·m3/s].
    gas_k
        Temperature to which it is referred, above 0 [K].

    Returns
    -------
    float
        Amount per time, which needs no reference temperature any more [mol/s].

    Raises
    ------
    ValueError
        If a value is not finite or the temperature is not above 0.

    Notes
    -----
    Q/(R·T), ideal gas.

    Source: ASTM E499, scope, equates 1e-8 std cm3/s with 4.5e-13 mol/s (at 0 °C).

    Examples
    --------
    The same, with 1 std cm3/s = 101 325 Pa · 1e-6 m3/s at 273.15 K:

    >>> f"{molar_rate(1e-8 * 101_325e-6, 273.15):.1e}"
    '4.5e-13'
    """
    require.finite(leak_rate_pa_m3_s=leak_rate_pa_m3_s)
    require.positive(gas_k=gas_k)
    return leak_rate_pa_m3_s / (MOLAR_GAS_CONSTANT * gas_k)


def rate_from_molar(rate_mol_s: float, gas_k: float) -> float:
    """Return a leak rate from an amount of gas per time.

    Parameters
    ----------
    rate_mol_s
        Amount per time [mol/s].
    gas_k
        Temperature to which the leak rate is to be referred, above 0 [K].

    Returns
    -------
    float
        Leak rate referred to gas_k [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not finite or the temperature is not above 0.

    Notes
    -----
    n·R·T, ideal gas.

    Source: as ``molar_rate``.

    Examples
    --------
    ASTM E499: 4.5e-13 mol/s is 1e-8 std cm3/s, here at 0 °C:

    >>> f"{rate_from_molar(4.5e-13, 273.15) / 101_325e-6:.0e}"
    '1e-08'
    """
    require.finite(rate_mol_s=rate_mol_s)
    require.positive(gas_k=gas_k)
    return rate_mol_s * MOLAR_GAS_CONSTANT * gas_k


def standard_cm3_per_min(leak_rate_pa_m3_s: float, gas_k: float, standard_k: float) -> float:
    """Return a leak rate in standard cubic centimetres per minute.

    Parameters
    ----------
    leak_rate_pa_m3_s
        Leak rate referred to gas_k [Pa·m3/s].
    gas_k
        Temperature to which it is referred, above 0 [K].
    standard_k
        Temperature of the standard cubic centimetre, above 0; to be shown beside the result [K].

    Returns
    -------
    float
        Flow of gas at 101 325 Pa and standard_k [cm3/min].

    Raises
    ------
    ValueError
        If a value is not finite or a temperature is not above 0.

    Notes
    -----
    Trades differ: 0 °C (semiconductor and leak standards), 15 °C (natural gas), 20 °C and 25 °C (flow meters). From
    0 to 20 °C is 7.3 %.

    Source: ideal gas law; 0 °C by ASTM E499 (scope), 15 °C by ISO 13443 (from memory).

    Examples
    --------
    Hand calculation: 101 325 Pa · 1 cm3 in a minute, gas and standard both at 0 °C.

    >>> round(standard_cm3_per_min(101_325 * 1e-6 / 60, 273.15, 273.15), 12)
    1.0
    """
    require.finite(leak_rate_pa_m3_s=leak_rate_pa_m3_s)
    require.positive(gas_k=gas_k, standard_k=standard_k)
    volume_m3_s = leak_rate_pa_m3_s / STANDARD_ATMOSPHERE_PA * (standard_k / gas_k)
    return volume_m3_s * CM3_PER_M3 * MINUTE_S


def rate_from_standard_cm3_per_min(flow_cm3_min: float, standard_k: float, gas_k: float) -> float:
    """Return a leak rate from standard cubic centimetres per minute.

    Parameters
    ----------
    flow_cm3_min
        Flow of gas at 101 325 Pa and standard_k [cm3/min].
    standard_k
        Temperature of the standard cubic centimetre, above 0 [K].
    gas_k
        Temperature to which the leak rate is to be referred, above 0 [K].

    Returns
    -------
    float
        Leak rate referred to gas_k [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not finite or a temperature is not above 0.

    Notes
    -----
    Inverse of ``standard_cm3_per_min``.

    Source: as ``standard_cm3_per_min``.

    Examples
    --------
    Hand calculation: 60 cm3/min at 0 °C is 1 cm3/s, and 1 atm·cm3/s is 0.101325 Pa·m3/s.

    >>> round(rate_from_standard_cm3_per_min(60, 273.15, 273.15), 9)
    0.101325
    """
    require.finite(flow_cm3_min=flow_cm3_min)
    require.positive(gas_k=gas_k, standard_k=standard_k)
    return flow_cm3_min / (CM3_PER_M3 * MINUTE_S) * STANDARD_ATMOSPHERE_PA * (gas_k / standard_k)
