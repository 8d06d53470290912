"""The line through a hold: compensated pressure against the time that a viscous leak feels."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.physics.leak import rescale_viscous
from commission.statistics.correlation import adjusted_error, corrected_lag1, effective_count, lag1
from commission.statistics.drop_width import BLOCKS, FEWEST_FOR_BLOCKS, block_means
from commission.statistics.regression import fit_line, residuals

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.series import Flags, Floats

FEW = 8
"""With fewer readings than this the stated repeatability stands in for the scatter [1]; our choice: a scatter of
fewer is known to no better than a quarter of itself."""
LEAST_DOF = 2.0
"""Degrees of freedom that correlated readings keep at least [1], our choice: Student's t with 1 has no mean, so beyond
95 % its quantiles say nothing of readings; the simulated study of coverage holds with 2."""
REPEATABILITY_STEPS = 0.4
"""Standard deviation of one reading beyond rounding, in display steps [1]; our choice: what an eye or a display adds
to rounding; half a step would double it."""


class HoldLine(Frozen):
    """A straight line of compensated pressure against viscous time, over the judged part of a hold."""

    drop_pa: float
    """Fall of the line over the judged part, positive for a loss [Pa]."""
    s_drop_pa: float
    """Standard error of the drop from scatter alone [Pa]."""
    dof: float
    """Degrees of freedom of that error, infinite where it was stated beforehand [1]."""
    span_s: float
    """Viscous time of the judged part: as long as it would take at the start pressure [s]."""
    start_pa: float
    """Compensated pressure of the line at the start [Pa]."""
    start_gauge_pa: float
    """Gauge pressure of the line at the start [Pa]."""
    swing_factor: float
    """How much a wander of one unit from lowest to highest can move the drop [1]."""
    air_factor: float
    """Root of the sum of squared weights of the points in the drop, over that of two readings [1]."""
    steps_dominate: bool
    """Whether the readings scatter less than half a step of the displays together, so that rounding rules."""
    rest_pa: float
    """Standard deviation of the points or block means about the line; 0 for two points [Pa]."""
    points: int
    """How many points or block means were fitted [1]."""


def viscous_time(elapsed_s: Floats, absolute_pa: Floats, barometer_pa: Floats, least_gauge_pa: float) -> Floats:
    """Return the time a viscous leak feels: running integral of (P² − p_b²)/(P0² − p_b0²).

    Parameters
    ----------
    elapsed_s
        Times, increasing, shape (m,) [s].
    absolute_pa
        Absolute pressure inside, shape (m,) [Pa].
    barometer_pa
        Absolute pressure outside, shape (m,) [Pa].
    least_gauge_pa
        Gauge pressures below this count as this, so that an empty loop stays finite; above 0 [Pa].

    Returns
    -------
    numpy.ndarray
        Viscous time, 0 at the first reading, shape (m,) [s].

    Notes
    -----
    Flow through a narrow gap goes with P² − p_b², so the compensated pressure falls in proportion to this time
    whatever fraction of the gas is gone. Between two readings (P − p_b)/(P + p_b) falls exponentially, which gives the
    mean of P² − p_b² in closed form; where the pressure hardly changed the trapezium does as well.

    Source: isothermal Poiseuille flow of an ideal gas, in any textbook on vacuum technique.

    Examples
    --------
    Closed solution for 1.2 L, 0.5 bar gauge, 1e-3 mbar·L/s: after 24 h the gauge shows 433.784606 mbar. The gas lost,
    66.215394 mbar, over the first rate, 3 mbar/h, is 22.0718 h.

    >>> import numpy as np
    >>> t, p = np.array([0.0, 86400.0]), np.array([151325.0, 101325.0 + 43378.4606])
    >>> round(float(viscous_time(t, p, np.full(2, 101325.0), 1.0)[-1]) / 3600, 4)
    22.0718
    """
    import numpy as np

    gauge = np.maximum(absolute_pa - barometer_pa, least_gauge_pa)
    drive = gauge * (gauge + 2 * barometer_pa)
    # the closed form holds for one outside pressure, so both ends of an interval get its mean
    outside = (barometer_pa[:-1] + barometer_pa[1:]) / 2
    before, after = gauge[:-1], gauge[1:]
    fall = np.log(before / (before + 2 * outside)) - np.log(after / (after + 2 * outside))
    steep = np.abs(fall) > 1e-4
    closed = 2 * outside * (before - after) / np.where(steep, fall, 1.0)
    mean = np.where(steep, closed, (drive[:-1] + drive[1:]) / 2)
    return np.concatenate(([0.0], np.cumsum(mean * np.diff(elapsed_s)))) / float(drive[0])


def ends_only(elapsed_s: Floats) -> Flags:
    """Return which readings lie in the first or last eighth of the time.

    Parameters
    ----------
    elapsed_s
        Times, increasing, shape (m,) [s].

    Returns
    -------
    numpy.ndarray
        True for the ends, shape (m,) [true or false].

    Notes
    -----
    A wander that nobody saw, s from lowest to highest, moves a line through all readings by up to 1.5·s, a line
    through the ends by up to 1.14·s.

    Examples
    --------
    >>> import numpy as np
    >>> ends_only(np.array([0.0, 1.0, 4.0, 8.0])).tolist()
    [True, True, False, True]
    """
    eighth = (elapsed_s[-1] - elapsed_s[0]) / 8
    ends: Flags = (elapsed_s <= elapsed_s[0] + eighth) | (elapsed_s >= elapsed_s[-1] - eighth)
    return ends


def _few_errors(times: Floats, values: Floats, stated_pa: float, sxx: float) -> tuple[float, float]:
    """Error of the slope from the stated repeatability, or from the scatter where that contradicts it."""
    from scipy.special import chdtri

    stated = stated_pa / math.sqrt(sxx)
    if times.size < 3:
        return stated, math.inf
    line = fit_line(times, values)
    if stated_pa > 0 and line.ssr <= stated_pa**2 * float(chdtri(line.dof, 0.2)):
        return stated, math.inf
    return max(line.s_slope, stated), float(line.dof)


def _many_errors(times: Floats, values: Floats, *, steps_dominate: bool) -> tuple[float, float]:
    """Error of the slope from the scatter, widened for readings that resemble their neighbours."""
    line = fit_line(times, values)
    if steps_dominate:
        return line.s_slope, float(line.dof)
    r = corrected_lag1(lag1(residuals(line, times, values)), line.n)
    count = effective_count(line.n, r, least=3.0)
    return adjusted_error(line.s_slope, line.n, count), max(count - 2, LEAST_DOF)


def hold_line(
    viscous_s: Floats,
    compensated_pa: Floats,
    *,
    span_s: float,
    step_pa: float,
    scatter_pa: float,
    stated_pa: float,
    to_gauge: tuple[float, float],
) -> HoldLine:
    """Fit the line of a hold.

    Parameters
    ----------
    viscous_s
        Viscous time of the points to be fitted, from the start of the judged part, shape (m,), m ≥ 2 [s].
    compensated_pa
        Compensated pressure, shape (m,) [Pa].
    span_s
        Viscous time of the whole judged part [s].
    step_pa
        Steps of the displays together; scatter below half of this is rounding [Pa].
    scatter_pa
        Standard deviation of the readings inside a point [Pa].
    stated_pa
        Standard deviation of one point as the instruments promise it, used with few readings [Pa].
    to_gauge
        Factor from compensated to absolute pressure at the start [1], and barometer at the start [Pa].

    Raises
    ------
    ValueError
        If there are fewer than 2 points or all times are equal.

    Notes
    -----
    40 points or more are averaged into 20 blocks. The viscous time was scaled with the first reading; it is rescaled
    here with the start of the line, which rounding moves less.

    Examples
    --------
    >>> import numpy as np
    >>> line = hold_line(np.array([0.0, 3600.0]), np.array([150000.0, 149000.0]), span_s=3600, step_pa=100,
    ...     scatter_pa=0, stated_pa=50, to_gauge=(1.0, 101325.0))
    >>> round(line.drop_pa, 6), round(line.s_drop_pa, 3), round(line.start_gauge_pa)
    (1000.0, 70.711, 48675)
    """
    import numpy as np

    times, values = viscous_s, compensated_pa
    rest = fine = fit_line(times, values).residual_sd if times.size >= 3 else 0.0
    if times.size >= FEWEST_FOR_BLOCKS:
        times, values = block_means(times, BLOCKS), block_means(values, BLOCKS)
        rest = fit_line(times, values).residual_sd
    off = times - times.mean()
    sxx = float(off @ off)
    slope = float(off @ (values - values.mean())) / sxx
    steps_dominate = math.hypot(scatter_pa, fine) < step_pa / 2
    if times.size < FEW:
        error, dof = _few_errors(times, values, stated_pa, sxx)
    else:
        error, dof = _many_errors(times, values, steps_dominate=steps_dominate)
    start = float(values.mean()) - slope * float(times.mean())
    factor, outside = to_gauge
    first = float(compensated_pa[0]) * factor
    inside = start * factor
    rescale = 1.0
    if first > outside < inside:
        rescale = rescale_viscous(1.0, from_pa=inside, from_outside_pa=outside, to_pa=first, to_outside_pa=outside)
    weights = np.abs(off) * span_s / sxx
    return HoldLine(
        drop_pa=0.0 - slope * span_s,
        s_drop_pa=error * span_s,
        dof=dof,
        span_s=span_s * rescale,
        start_pa=start,
        start_gauge_pa=inside - outside,
        swing_factor=float(weights.sum()) / 2,
        air_factor=math.sqrt(float(weights @ weights) / 2),
        steps_dominate=steps_dominate,
        rest_pa=rest,
        points=times.size,
    )
