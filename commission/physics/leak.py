"""Leak rates from falls of pressure, and falls and pressures from leak rates.

A leak rate is a flow of pressure times volume at a stated gas temperature, positive for a loss. Through the gaps that
matter to a liquid the flow is viscous: proportional to the difference of the squared absolute pressures.
"""

import math

from commission.physics import require
from commission.physics.arithmetic import Values


def leak_rate(volume_m3: float, drop_pa: Values, duration_s: float) -> Values:
    """Return the mean leak rate that made a fall of the compensated pressure.

    Parameters
    ----------
    volume_m3
        Internal volume, above 0 [m3].
    drop_pa
        Fall of the compensated pressure, negative for a rise; a float or an array, not checked [Pa].
    duration_s
        Time in which it fell, above 0 [s].

    Returns
    -------
    float or numpy.ndarray
        Leak rate, positive for a loss, at the temperature of the fall; say it with the rate [Pa·m3/s].

    Raises
    ------
    ZeroDivisionError
        If the time is 0.

    Notes
    -----
    Q = V·Δ/t with Δ = T_ref·(P1/T1 − P2/T2): ideal gas, rigid loop, dry air. A mean over that time; in viscous time it
    is the rate at the start.

    Source: 40 CFR 1065.644 (same equation, divided by R·T_ref and with the sign turned).

    Examples
    --------
    Inputs of the example in 40 CFR 1065.644 (a vacuum that rises), which prints 0.00030 mol/s (print from memory):

    >>> from commission.physics.gas import MOLAR_GAS_CONSTANT, compensated_pressure
    >>> drop = compensated_pressure(25_300, 293.15, 293.15) - compensated_pressure(50_600, 293.15, 293.15)
    >>> f"{-leak_rate(0.002, drop, 70) / (MOLAR_GAS_CONSTANT * 293.15):.5f}"
    '0.00030'
    """
    rate: Values = volume_m3 * drop_pa / duration_s
    return rate


def leak_drop(leak_rate_pa_m3_s: float, volume_m3: float, duration_s: Values) -> Values:
    """Return the fall of the compensated pressure that a constant leak makes.

    Parameters
    ----------
    leak_rate_pa_m3_s
        Leak rate; negative for a rise [Pa·m3/s].
    volume_m3
        Internal volume, above 0 [m3].
    duration_s
        Length of the hold; a float or an array, not checked [s].

    Returns
    -------
    float or numpy.ndarray
        Fall at the temperature of the rate [Pa].

    Raises
    ------
    ZeroDivisionError
        If the volume is 0.

    Notes
    -----
    Q·t/V. A viscous leak falls by a little less, since it slows down; see ``viscous_pressure``.

    Source: Pfeiffer Vacuum, vacuum technology know-how book, limits of the pressure-change method.

    Examples
    --------
    The same book: 1e-6 mbar·L/s in 5 L is 7.2e-4 mbar in an hour and 1.7e-2 mbar in a day.

    >>> [f"{leak_drop(1e-7, 5e-3, t) / 100:.1e}" for t in (3600.0, 86_400.0)]
    ['7.2e-04', '1.7e-02']
    """
    drop_pa: Values = leak_rate_pa_m3_s * duration_s / volume_m3
    return drop_pa


def viscous_pressure(
    start_pa: float, outside_pa: float, start_rate_pa_m3_s: float, volume_m3: float, elapsed_s: float
) -> float:
    """Return the pressure after some time in a loop with a viscous leak.

    Parameters
    ----------
    start_pa
        Compensated absolute pressure at the start, above outside_pa [Pa].
    outside_pa
        Pressure around the loop, above 0 [Pa].
    start_rate_pa_m3_s
        Leak rate at the start; negative for the mirror image, in which the pressure grows [Pa·m3/s].
    volume_m3
        Internal volume, above 0 [m3].
    elapsed_s
        Time since the start, 0 or more [s].

    Returns
    -------
    float
        Compensated absolute pressure, between outside_pa and start_pa for a positive rate [Pa].

    Raises
    ------
    ValueError
        If a value is not finite or out of range, or a negative rate has grown beyond all bounds by then.

    Notes
    -----
    V·dP/dt = −Q0·(P² − p_b²)/(P0² − p_b²) gives (P − p_b)/(P + p_b) = A0·exp(−2·K·p_b·t) with
    K = Q0/(V·(P0² − p_b²)). Constant temperature and barometer; holes well above 0.05 µm (mean free path).

    Source: Poiseuille flow of an ideal gas, integrated by separation of variables.

    Examples
    --------
    Computed with mpmath: 1.2 L at 500 mbar gauge with 1e-3 mbar·L/s at the start stands at 433.784606 mbar gauge after
    a day (a straight line would say 428.0).

    >>> round((viscous_pressure(151_325, 101_325, 1e-4, 1.2e-3, 86_400) - 101_325) / 100, 6)
    433.784606
    """
    require.positive(outside_pa=outside_pa, volume_m3=volume_m3)
    require.positive(gauge_pressure_pa=start_pa - outside_pa)
    require.finite(start_rate_pa_m3_s=start_rate_pa_m3_s)
    require.not_negative(elapsed_s=elapsed_s)
    ratio = (start_pa - outside_pa) / (start_pa + outside_pa)
    constant = start_rate_pa_m3_s / (volume_m3 * (start_pa - outside_pa) * (start_pa + outside_pa))
    exponent = -2 * constant * outside_pa * elapsed_s + math.log(ratio)
    if exponent >= 0:
        raise ValueError("a negative leak rate has grown beyond all bounds by then")
    ratio = math.exp(exponent)
    return outside_pa * (1 + ratio) / (1 - ratio)


def rescale_viscous(
    leak_rate_pa_m3_s: float, *, from_pa: float, from_outside_pa: float, to_pa: float, to_outside_pa: float
) -> float:
    """Return what a viscous leak would lose at other pressures.

    Parameters
    ----------
    leak_rate_pa_m3_s
        Leak rate at the first pair of pressures [Pa·m3/s].
    from_pa
        Absolute pressure inside at which it was found, above from_outside_pa [Pa].
    from_outside_pa
        Pressure outside at the time, 0 or more [Pa].
    to_pa
        Absolute pressure inside that is asked about, not below to_outside_pa [Pa].
    to_outside_pa
        Pressure outside that is asked about, 0 or more [Pa].

    Returns
    -------
    float
        Leak rate at the second pair [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not finite or negative, or an inside pressure is not above its outside pressure.

    Notes
    -----
    Q ∝ P1² − P2². Leaks smaller than those that let a liquid through are molecular and scale with P1 − P2.

    Source: a leak-detector manual, section on viscous leaks, with the example below.

    Examples
    --------
    The manual's example: 0.001 atm·cm3/s from 10 to 1 atm becomes 0.004 from 20 to 1 atm (any one unit will do).

    >>> f"{rescale_viscous(0.001, from_pa=10, from_outside_pa=1, to_pa=20, to_outside_pa=1):.3f}"
    '0.004'
    """
    require.finite(leak_rate_pa_m3_s=leak_rate_pa_m3_s)
    require.not_negative(from_outside_pa=from_outside_pa, to_outside_pa=to_outside_pa)
    require.positive(rise_before_pa=from_pa - from_outside_pa)
    require.not_negative(rise_after_pa=to_pa - to_outside_pa)
    return leak_rate_pa_m3_s * ((to_pa**2 - to_outside_pa**2) / (from_pa**2 - from_outside_pa**2))
