"""How small a leak a hold can find, and how long it must be."""

import math
from statistics import NormalDist

from commission.physics import require
from commission.physics.loop_volume import Uncertain


def resolution_uncertainty(step: float) -> float:
    """Return the standard uncertainty of one reading from the step of its display.

    Parameters
    ----------
    step
        One step of the display, 0 or more [any].

    Returns
    -------
    float
        step/√12 [as step].

    Raises
    ------
    ValueError
        If the step is negative or not finite.

    Notes
    -----
    Rectangular distribution one step wide. For the difference of two readings of a slow drift the two errors are not
    independent: take step/√3 on the difference, not √2 times this.

    Source: JCGM 100:2008, F.2.2.1.

    Examples
    --------
    JCGM 100:2008 F.2.2.1 prints 0.29·δx:

    >>> round(resolution_uncertainty(1.0), 2)
    0.29
    """
    require.not_negative(step=step)
    return step / math.sqrt(12)


def leak_rate_uncertainty(volume_m3: Uncertain, drop_pa: Uncertain, duration_s: float) -> Uncertain:
    """Return the leak rate from a drop, with the uncertainty that drop and volume give it.

    Parameters
    ----------
    volume_m3
        Internal volume, above 0 [m3].
    drop_pa
        Fall of the compensated pressure, of any sign [Pa].
    duration_s
        Time over which it fell, above 0 [s].

    Returns
    -------
    Uncertain
        Leak rate and its standard uncertainty [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not finite or out of range.

    Notes
    -----
    u² = (V·u_Δ)² + (Δ·u_V)² over t²; the sum holds at Δ = 0 too, where relative uncertainties have no meaning.

    Source: JCGM 100:2008, 5.1.2.

    Examples
    --------
    Hand calculation: 1 L, 300(40) Pa, 1000 s with u_V = 0.1 L: √(0.04² + 0.03²) = 0.05, over 1000 s.

    >>> rate = leak_rate_uncertainty(Uncertain(1e-3, 1e-4), Uncertain(300, 40), 1000)
    >>> f"{rate.value:.1e} {rate.u:.1e}"
    '3.0e-04 5.0e-05'
    """
    require.positive(volume_m3=volume_m3.value, duration_s=duration_s)
    require.not_negative(u_volume_m3=volume_m3.u, u_drop_pa=drop_pa.u)
    require.finite(drop_pa=drop_pa.value)
    u = math.hypot(volume_m3.value * drop_pa.u, drop_pa.value * volume_m3.u) / duration_s
    return Uncertain(volume_m3.value * drop_pa.value / duration_s, u)


def decision_limit(u_drop_pa: float, volume_m3: float, duration_s: float, confidence: float = 0.95) -> float:
    """Return the leak rate above which a tight loop is seldom believed to leak.

    Parameters
    ----------
    u_drop_pa
        Standard uncertainty of the compensated drop of a tight loop, 0 or more [Pa].
    volume_m3
        Internal volume, above 0 [m3].
    duration_s
        Length of the hold, above 0 [s].
    confidence
        1 minus the risk of a false alarm, 0.5 to below 1 [1].

    Returns
    -------
    float
        Leak rate [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not finite or out of range.

    Notes
    -----
    z·u·V/t, normal distribution.

    Source: L. A. Currie, Anal. Chem. 40 (1968) 586 (from memory).

    Examples
    --------
    Currie's z of 1.645 for 5 %:

    >>> round(decision_limit(1.0, 1.0, 1.0), 3)
    1.645
    """
    require.not_negative(u_drop_pa=u_drop_pa)
    require.positive(volume_m3=volume_m3, duration_s=duration_s)
    return _quantile(confidence) * u_drop_pa * volume_m3 / duration_s


def smallest_detectable(u_drop_pa: float, volume_m3: float, duration_s: float, confidence: float = 0.95) -> float:
    """Return the smallest leak rate that a hold finds with the same small risk either way.

    Parameters
    ----------
    u_drop_pa
        Standard uncertainty of the compensated drop, 0 or more [Pa].
    volume_m3
        Internal volume, above 0 [m3].
    duration_s
        Length of the hold, above 0 [s].
    confidence
        1 minus the risk either way, 0.5 to below 1 [1].

    Returns
    -------
    float
        Leak rate [Pa·m3/s].

    Raises
    ------
    ValueError
        If a value is not finite or out of range.

    Notes
    -----
    Twice the decision limit: a leak of this size is missed as seldom as a tight loop is accused. It assumes that u
    is the same with and without a leak.

    Source: L. A. Currie, Anal. Chem. 40 (1968) 586 (from memory).

    Examples
    --------
    Currie's 3.29 for 5 % either way:

    >>> round(smallest_detectable(1.0, 1.0, 1.0), 2)
    3.29
    """
    return 2 * decision_limit(u_drop_pa, volume_m3, duration_s, confidence)


def hold_time_needed(u_drop_pa: float, volume_m3: float, limit_pa_m3_s: float, confidence: float = 0.95) -> float:
    """Return the length of hold after which a leak at the limit is detectable.

    Parameters
    ----------
    u_drop_pa
        Standard uncertainty of the compensated drop, 0 or more, taken not to grow with time [Pa].
    volume_m3
        Internal volume, above 0 [m3].
    limit_pa_m3_s
        Limit of the leak rate, above 0 [Pa·m3/s].
    confidence
        1 minus the risk either way, 0.5 to below 1 [1].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    ValueError
        If a value is not finite or out of range.

    Notes
    -----
    ``smallest_detectable`` solved for the time. Where temperature or barometer wander further in a longer hold, u
    grows and so does the time.

    Source: L. A. Currie, Anal. Chem. 40 (1968) 586 (from memory).

    Examples
    --------
    Hand calculation: 3.29·50 Pa·1e-3 m3 over 1e-4 Pa·m3/s.

    >>> round(hold_time_needed(50, 1e-3, 1e-4))
    1645
    """
    require.positive(limit_pa_m3_s=limit_pa_m3_s)
    return smallest_detectable(u_drop_pa, volume_m3, 1.0, confidence) / limit_pa_m3_s


def hold_time_by_steps(step_pa: float, volume_m3: float, limit_pa_m3_s: float, steps: float = 10.0) -> float:
    """Return the length of hold after which a leak at the limit moves the display by a number of steps.

    Parameters
    ----------
    step_pa
        One step of the display, above 0 [Pa].
    volume_m3
        Internal volume, above 0 [m3].
    limit_pa_m3_s
        Limit of the leak rate, above 0 [Pa·m3/s].
    steps
        How many steps, above 0 [1].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    ValueError
        If a value is not a finite number above 0.

    Notes
    -----
    A rule of thumb for the display alone; it knows nothing of temperature.

    Source: ASTM E2930-13(R2021), 5.1, resolution ten times finer than the specification.

    Examples
    --------
    Hand calculation: 10·100 Pa·1.2e-3 m3 over 1e-4 Pa·m3/s.

    >>> round(hold_time_by_steps(100, 1.2e-3, 1e-4))
    12000
    """
    require.positive(step_pa=step_pa, volume_m3=volume_m3, limit_pa_m3_s=limit_pa_m3_s, steps=steps)
    return steps * volume_m3 * step_pa / limit_pa_m3_s


def planned_slope_error(residual_sd: float, n: int, duration_s: float) -> float:
    """Return the standard error of a slope that equally spaced readings will have.

    Parameters
    ----------
    residual_sd
        Standard deviation of independent readings, 0 or more [Pa].
    n
        Number of readings, 2 or more, the first at the start and the last at the end [1].
    duration_s
        Length of the hold, above 0 [s].

    Returns
    -------
    float
        Standard error [Pa/s].

    Raises
    ------
    ValueError
        If there are fewer than 2 readings or a value is out of range.

    Notes
    -----
    (s/t)·√(12·(n − 1)/(n·(n + 1))). For independent noise only: display steps and temperature do not fall with n.

    Source: least squares with Σ(t − t̄)² = t²·n·(n + 1)/(12·(n − 1)) for equal spacing.

    Examples
    --------
    Hand calculation, two readings: √2·s/t.

    >>> round(planned_slope_error(1.0, 2, 1.0), 6)
    1.414214
    """
    if n < 2:
        raise ValueError("a slope needs at least 2 readings")
    require.not_negative(residual_sd=residual_sd)
    require.positive(duration_s=duration_s)
    return residual_sd / duration_s * math.sqrt(12 * (n - 1) / (n * (n + 1)))


def _quantile(confidence: float) -> float:
    """Return the normal quantile, 0 for 50 %."""
    if not 0.5 <= confidence < 1:
        raise ValueError("confidence must be 0.5 to below 1")
    return NormalDist().inv_cdf(confidence)
