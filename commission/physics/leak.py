"""Leak rates from pressures, and pressures from leak rates.

A leak rate is a flow of pressure times volume at a stated gas temperature, positive for a loss. Through the gaps that
matter to a liquid the flow is viscous: proportional to the difference of the squared absolute pressures.
"""

import math

from commission.physics import require

DAY_S = 86_400.0
"""One day [s]. Source: by definition, SI Brochure 9, table 8."""


def leak_rate_two_points(
    volume_m3: float,
    start_pa: float,
    end_pa: float,
    duration_s: float,
    *,
    start_k: float,
    end_k: float,
    reference_k: float,
) -> float:
    """Return the mean leak rate between two readings.

    Parameters
    ----------
    volume_m3
        Internal volume, above 0 [m3].
    start_pa
        Absolute pressure at the start, above 0 [Pa].
    end_pa
        Absolute pressure at the end, above 0 [Pa].
    duration_s
        Time between them, above 0 [s].
    start_k
        Gas temperature at the start, above 0 [K].
    end_k
        Gas temperature at the end, above 0 [K].
    reference_k
        Temperature to which the rate is referred, above 0; say it with the rate [K].

    Returns
    -------
    float
        Leak rate, positive for a loss [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0.

    Notes
    -----
    Q = V·T_ref·(P1/T1 − P2/T2)/Δt: ideal gas, rigid loop, dry air. A mean over the hold, not the rate at its start.

    Source: 40 CFR 1065.644 (same equation, divided by R·T_ref and with the sign turned).

    Examples
    --------
    Inputs of the example in 40 CFR 1065.644 (a vacuum that rises), which prints 0.00030 mol/s (print from memory):

    >>> from commission.physics.gas import MOLAR_GAS_CONSTANT
    >>> rate = leak_rate_two_points(0.002, 25_300, 50_600, 70, start_k=293.15, end_k=293.15, reference_k=293.15)
    >>> f"{-rate / (MOLAR_GAS_CONSTANT * 293.15):.5f}"
    '0.00030'
    """
    require.positive(volume_m3=volume_m3, start_pa=start_pa, end_pa=end_pa, duration_s=duration_s)
    require.positive(start_k=start_k, end_k=end_k, reference_k=reference_k)
    return volume_m3 * reference_k * (start_pa / start_k - end_pa / end_k) / duration_s


def relative_loss_per_day(leak_rate_pa_m3_s: float, volume_m3: float, pressure_pa: float) -> float:
    """Return the share of the contained air that is lost in a day at a constant rate.

    Parameters
    ----------
    leak_rate_pa_m3_s
        Leak rate at the temperature of the pressure, positive for a loss [Pa·m3/s].
    volume_m3
        Internal volume, above 0 [m3].
    pressure_pa
        Absolute pressure at the same temperature, above 0 [Pa].

    Returns
    -------
    float
        Share of the mass of air, not of the gauge pressure, per day; 0.01 is 1 %/d [1/d].

    Raises
    ------
    ValueError
        If a value is not finite, or volume or pressure is not above 0.

    Notes
    -----
    86 400·Q/(P·V).

    Source: containment leakage practice, ANSI/ANS-56.8 (from memory).

    Examples
    --------
    Hand calculation: 1e-4 Pa·m3/s of 1.2 L at 1.44 bar absolute is 8.64 of 172.8 Pa·m3, 5 %/d.

    >>> round(relative_loss_per_day(1e-4, 1.2e-3, 144_000), 12)
    0.05
    """
    require.finite(leak_rate_pa_m3_s=leak_rate_pa_m3_s)
    require.positive(volume_m3=volume_m3, pressure_pa=pressure_pa)
    return DAY_S * leak_rate_pa_m3_s / (pressure_pa * volume_m3)


def permitted_drop(limit_pa_m3_s: float, volume_m3: float, duration_s: float) -> float:
    """Return the fall of the compensated pressure that a constant leak at the limit makes.

    Parameters
    ----------
    limit_pa_m3_s
        Leak rate, 0 or more [Pa·m3/s].
    volume_m3
        Internal volume, above 0 [m3].
    duration_s
        Length of the hold, above 0 [s].

    Returns
    -------
    float
        Fall at the temperature of the rate [Pa].

    Raises
    ------
    ValueError
        If a value is negative or not finite, or volume or duration is 0.

    Notes
    -----
    Q·t/V. A viscous leak falls by a little less, since it slows down; see ``viscous_pressure``.

    Source: Pfeiffer Vacuum, vacuum technology know-how book, limits of the pressure-change method.

    Examples
    --------
    The same book: 1e-6 mbar·L/s in 5 L is 7.2e-4 mbar in an hour and 1.7e-2 mbar in a day.

    >>> [f"{permitted_drop(1e-7, 5e-3, t) / 100:.1e}" for t in (3600, 86_400)]
    ['7.2e-04', '1.7e-02']
    """
    require.not_negative(limit_pa_m3_s=limit_pa_m3_s)
    require.positive(volume_m3=volume_m3, duration_s=duration_s)
    return limit_pa_m3_s * duration_s / volume_m3


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
    _check_viscous(start_pa, outside_pa, volume_m3)
    require.finite(start_rate_pa_m3_s=start_rate_pa_m3_s)
    require.not_negative(elapsed_s=elapsed_s)
    ratio = (start_pa - outside_pa) / (start_pa + outside_pa)
    constant = start_rate_pa_m3_s / (volume_m3 * (start_pa - outside_pa) * (start_pa + outside_pa))
    exponent = -2 * constant * outside_pa * elapsed_s + math.log(ratio)
    if exponent >= 0:
        raise ValueError("a negative leak rate has grown beyond all bounds by then")
    ratio = math.exp(exponent)
    return outside_pa * (1 + ratio) / (1 - ratio)


def viscous_start_rate(volume_m3: float, start_pa: float, end_pa: float, outside_pa: float, duration_s: float) -> float:
    """Return the leak rate at the start from two pressures, for a viscous leak.

    Parameters
    ----------
    volume_m3
        Internal volume, above 0 [m3].
    start_pa
        Compensated absolute pressure at the start, above outside_pa [Pa].
    end_pa
        Compensated absolute pressure at the end, above outside_pa [Pa].
    outside_pa
        Pressure around the loop, above 0 [Pa].
    duration_s
        Time between them, above 0 [s].

    Returns
    -------
    float
        Leak rate at start_pa, at the temperature of the pressures, negative where the pressure rose [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not finite or out of range.

    Notes
    -----
    Inverse of ``viscous_pressure``. Larger than the mean rate, which understates a leak near the limit on a long hold.

    Source: Poiseuille flow of an ideal gas, integrated by separation of variables.

    Examples
    --------
    Computed with mpmath, the example of ``viscous_pressure`` backwards:

    >>> f"{viscous_start_rate(1.2e-3, 151_325, 144_703.4606, 101_325, 86_400):.6e}"
    '1.000000e-04'
    """
    _check_viscous(start_pa, outside_pa, volume_m3)
    _check_viscous(end_pa, outside_pa, volume_m3)
    require.positive(duration_s=duration_s)
    start, end = start_pa - outside_pa, end_pa - outside_pa
    # ln of the two ratios, arranged so that equal pressures give exactly 0
    fall = math.log1p(2 * outside_pa * (start - end) / (end * (start_pa + outside_pa)))
    return volume_m3 * start * (start_pa + outside_pa) * fall / (2 * outside_pa * duration_s)


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
    before = (from_pa - from_outside_pa) * (from_pa + from_outside_pa)
    return leak_rate_pa_m3_s * ((to_pa - to_outside_pa) * (to_pa + to_outside_pa) / before)


def _check_viscous(inside_pa: float, outside_pa: float, volume_m3: float) -> None:
    """Refuse pressures between which no air flows out, and volumes that are none."""
    require.positive(outside_pa=outside_pa, volume_m3=volume_m3)
    require.positive(gauge_pressure_pa=inside_pa - outside_pa)
