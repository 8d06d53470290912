"""The gas in a loop: absolute and compensated pressure, and what a degree is worth.

Ideal gas. For dry air between 1 and 2 bar at room temperature the compressibility is 0.9996 to 0.9993 (CoolProp
8.0.0) and hardly changes over a hold, so the error of a drop is below 1e-4 of it.

The functions take floats or arrays and check nothing: what is no measurement is refused before, by the judge of a hold.
"""

from commission.physics.arithmetic import Values

MOLAR_GAS_CONSTANT = 8.31446261815324
"""Molar gas constant [J/(mol·K)]. Source: exact in the SI since 2019 (CODATA 2018)."""
ICE_POINT_K = 273.15
"""0 °C [K]. Source: definition of the Celsius scale, SI Brochure 9."""
STANDARD_ATMOSPHERE_PA = 101_325.0
"""Standard atmosphere [Pa]. Source: SI Brochure 9 / ISO 2533, exact."""


def absolute_pressure(gauge_pa: Values, barometer_pa: Values | float) -> Values:
    """Return the absolute pressure that a vented gauge and a barometer say.

    Parameters
    ----------
    gauge_pa
        Gauge pressure, above −barometer_pa [Pa].
    barometer_pa
        Pressure of the air at the bench, not reduced to sea level, above 0 [Pa].

    Returns
    -------
    float or numpy.ndarray
        Absolute pressure [Pa].

    Raises
    ------
    ValueError
        If arrays differ in shape.

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
    pressure_pa: Values = gauge_pa + barometer_pa
    return pressure_pa


def compensated_pressure(pressure_pa: Values, temperature_k: Values | float, reference_k: float) -> Values:
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
    float or numpy.ndarray
        Compensated absolute pressure, proportional to the amount of gas [Pa].

    Raises
    ------
    ZeroDivisionError
        If the temperature is 0.

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
    compensated_pa: Values = pressure_pa * (reference_k / temperature_k)
    return compensated_pa


def pressure_sensitivity(pressure_pa: Values, temperature_k: Values | float) -> Values:
    """Return how much the pressure of enclosed gas changes with its temperature.

    Parameters
    ----------
    pressure_pa
        Absolute pressure, above 0 [Pa].
    temperature_k
        Temperature of the gas, above 0 [K].

    Returns
    -------
    float or numpy.ndarray
        dP/dT = P/T [Pa/K].

    Raises
    ------
    ZeroDivisionError
        If the temperature is 0.

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
    per_k: Values = pressure_pa / temperature_k
    return per_k


def pressure_change(pressure_pa: float, temperature_k: float, change_k: float) -> float:
    """Return by how much the pressure of enclosed gas moves when its temperature does.

    Parameters
    ----------
    pressure_pa
        Absolute pressure, above 0 [Pa].
    temperature_k
        Temperature of the gas, above 0 [K].
    change_k
        Change of the temperature [K].

    Returns
    -------
    float
        ΔP = ΔT·P/T [Pa].

    Raises
    ------
    ZeroDivisionError
        If the temperature is 0.

    Notes
    -----
    Constant volume.

    Source: Gay-Lussac's law, as in ``pressure_sensitivity``.

    Examples
    --------
    ASHRAE Journal, January 2021: about 1 psi for 1 °F at 500 psi gauge (and 70 °F), here straight in psi and °F.

    >>> round(pressure_change(500 + 14.696, 70 + 459.67, 1.0), 1)
    1.0
    """
    return change_k * pressure_pa / temperature_k
