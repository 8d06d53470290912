"""The gas in a loop: absolute and compensated pressure, amount, and what a degree is worth.

Ideal gas. For dry air between 1 and 2 bar at room temperature the compressibility is 0.9996 to 0.9993 (CoolProp
8.0.0) and hardly changes over a hold, so the error of a drop is below 1e-4 of it.
"""

from commission.physics import require

MOLAR_GAS_CONSTANT = 8.31446261815324
"""Molar gas constant [J/(mol·K)]. Source: exact in the SI since 2019 (CODATA 2018)."""
ICE_POINT_K = 273.15
"""0 °C [K]. Source: definition of the Celsius scale, SI Brochure 9."""
STANDARD_ATMOSPHERE_PA = 101_325.0
"""Standard atmosphere [Pa]. Source: SI Brochure 9 / ISO 2533, exact."""
AIR_HEAT_RATIO = 1.4
"""Ratio of the heat capacities of air, γ [1]. Source: ideal diatomic gas, 7/5."""


def absolute_pressure(gauge_pa: float, barometer_pa: float) -> float:
    """Return the absolute pressure that a vented gauge and a barometer say.

    Parameters
    ----------
    gauge_pa
        Gauge pressure, above −barometer_pa [Pa].
    barometer_pa
        Pressure of the air at the bench, not reduced to sea level, above 0 [Pa].

    Returns
    -------
    float
        Absolute pressure [Pa].

    Raises
    ------
    ValueError
        If a value is not finite, the barometer is not above 0, or the sum is not above 0.

    Notes
    -----
    For a vented gauge only: a sealed or absolute one already contains the barometer, and adding it counts twice.

    Source: definition of gauge pressure, ISO 80000-4:2019, 4-14.2 (from memory).

    Examples
    --------
    Hand calculation: 500.0 + 1013.2 mbar.

    >>> absolute_pressure(50_000, 101_320)
    151320
    """
    require.finite(gauge_pa=gauge_pa)
    require.positive(barometer_pa=barometer_pa)
    pressure_pa = gauge_pa + barometer_pa
    require.positive(absolute_pressure_pa=pressure_pa)
    return pressure_pa


def compensated_pressure(pressure_pa: float, temperature_k: float, reference_k: float) -> float:
    """Return the pressure the same gas would have at the reference temperature.

    Parameters
    ----------
    pressure_pa
        Absolute pressure, above 0 [Pa].
    temperature_k
        Temperature of the gas, above 0 [K].
    reference_k
        Temperature to which the pressure is referred, above 0 [K].

    Returns
    -------
    float
        Compensated absolute pressure, proportional to the amount of gas [Pa].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0.

    Notes
    -----
    P·T_ref/T at constant volume. Gauge pressure or °C in its place is wrong by a factor of three or more.

    Source: Gay-Lussac's law; the same P/T stands in 40 CFR 1065.644, equation for vacuum-decay leak rate.

    Examples
    --------
    Hand calculation: 151 320 Pa at 294.65 K is 151 320·293.15/294.65 at 20 °C.

    >>> round(compensated_pressure(151_320, 294.65, 293.15), 2)
    150549.66
    """
    require.positive(pressure_pa=pressure_pa, temperature_k=temperature_k, reference_k=reference_k)
    return pressure_pa * (reference_k / temperature_k)


def amount_of_gas(pressure_pa: float, volume_m3: float, temperature_k: float) -> float:
    """Return the amount of gas in a volume.

    Parameters
    ----------
    pressure_pa
        Absolute pressure, above 0 [Pa].
    volume_m3
        Volume, above 0 [m3].
    temperature_k
        Temperature of the gas, above 0 [K].

    Returns
    -------
    float
        Amount of substance [mol].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0.

    Notes
    -----
    n = P·V/(R·T), ideal gas.

    Source: ideal gas law; molar volume in CODATA 2018.

    Examples
    --------
    CODATA 2018 lists the molar volume of an ideal gas at 273.15 K and 101.325 kPa as 22.41396954e-3 m3/mol:

    >>> f"{amount_of_gas(101_325, 22.41396954e-3, 273.15):.9f}"
    '1.000000000'
    """
    require.positive(pressure_pa=pressure_pa, volume_m3=volume_m3, temperature_k=temperature_k)
    return pressure_pa * volume_m3 / (MOLAR_GAS_CONSTANT * temperature_k)


def pressure_sensitivity(pressure_pa: float, temperature_k: float) -> float:
    """Return how much the pressure of enclosed gas changes with its temperature.

    Parameters
    ----------
    pressure_pa
        Absolute pressure, above 0 [Pa].
    temperature_k
        Temperature of the gas, above 0 [K].

    Returns
    -------
    float
        dP/dT = P/T [Pa/K].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0.

    Notes
    -----
    Constant volume. About 5.2 mbar/K in a loop at 0.5 bar gauge; a fixed figure for all pressures is wrong.

    Source: Gay-Lussac's law; ASHRAE Journal, January 2021, p. 40, for the order of size.

    Examples
    --------
    ASHRAE Journal, January 2021: about 1 psi for 1 °F at 500 psi gauge (and 70 °F). In SI and back:

    >>> psi, f = 6894.757, 5 / 9
    >>> round(pressure_sensitivity((500 + 14.696) * psi, (70 + 459.67) * f) / psi * f, 1)
    1.0
    """
    require.positive(pressure_pa=pressure_pa, temperature_k=temperature_k)
    return pressure_pa / temperature_k
