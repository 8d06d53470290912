"""How small a leak a hold can find, and how long it must be."""

import math

from commission.physics import require
from commission.physics.leak import leak_rate


def resolution_uncertainty(step: float) -> float:
    """Return the standard uncertainty of one reading from the step of its display.

    Parameters
    ----------
    step
        One step of the display, 0 or more; not checked [any].

    Returns
    -------
    float
        step/√12 [as step].

    Raises
    ------
    OverflowError
        Never for floats.

    Notes
    -----
    Rectangular distribution one step wide. For the difference of two readings of a slow drift the two errors are not
    independent: take step/√3 on the difference (``rectangular_uncertainty``), not √2 times this.

    Source: JCGM 100:2008, F.2.2.1.

    Examples
    --------
    JCGM 100:2008 F.2.2.1 prints 0.29·δx:

    >>> round(resolution_uncertainty(1.0), 2)
    0.29
    """
    return step / math.sqrt(12)


def rectangular_uncertainty(half_width: float) -> float:
    """Return the standard uncertainty of a value that lies anywhere within a half-width.

    Parameters
    ----------
    half_width
        Half-width, 0 or more; not checked [any].

    Returns
    -------
    float
        half_width/√3 [as half_width].

    Raises
    ------
    OverflowError
        Never for floats.

    Notes
    -----
    For the difference of two readings of a slow drift one step of the display is the half-width.

    Source: JCGM 100:2008, 4.3.7, u² = a²/3 (from memory).

    Examples
    --------
    JCGM 100:2008 4.3.7 prints, for a thermal coefficient known to ±0.40e-6 per °C, a standard uncertainty of 0.23e-6:

    >>> round(rectangular_uncertainty(0.40), 2)
    0.23
    """
    return half_width / math.sqrt(3)


def smallest_detectable(
    alarm_pa: float, miss_pa: float, volume_m3: float, duration_s: float, *, growth: float = 0.0
) -> float:
    """Return the smallest leak rate that a hold finds, where a tight loop is seldom accused and the leak seldom missed.

    Parameters
    ----------
    alarm_pa
        Half-width of the drop of a tight loop at the level at which it is accused; not checked [Pa].
    miss_pa
        Half-width at the level at which the leak may be missed; not checked [Pa].
    volume_m3
        Internal volume, above 0 [m3].
    duration_s
        Length of the hold, above 0 [s].
    growth
        What grows with the leak itself, as a share of it at the level of the miss, 0 to below 1 [1].

    Returns
    -------
    float
        Leak rate [Pa·m3/s].

    Raises
    ------
    ZeroDivisionError
        If the time is 0 or the growth 1.

    Notes
    -----
    V·(w1 + w2)/(1 − growth²)/t. With one standard uncertainty u and 5 % either way that is 3.29·u·V/t.

    Source: L. A. Currie, Anal. Chem. 40 (1968) 586 (from memory); with growing uncertainty as in ISO 11929 (from
    memory).

    Examples
    --------
    Currie's 3.29 for 5 % either way, each half-width 1.645·u:

    >>> round(smallest_detectable(1.645, 1.645, 1.0, 1.0), 2)
    3.29
    """
    return leak_rate(volume_m3, (alarm_pa + miss_pa) / (1 - growth**2), duration_s)


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
