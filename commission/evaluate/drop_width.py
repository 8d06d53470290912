"""How well the drop over a hold is known when the display has steps and the noise has memory."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING

from commission.evaluate.correlation import adjusted_error, corrected_lag1, effective_count, lag1
from commission.evaluate.regression import Line, column, fit_line, residuals

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from commission.evaluate.regression import Column

BLOCKS = 20
"""Blocks into which a long series is averaged [1]; our choice: few enough to be independent, enough for a line."""
FEWEST_FOR_BLOCKS = 40
"""Fewer readings than this are not averaged [1]; our choice: two readings a block at least."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DropWidth:
    """A drop and the half-width of its one-sided bounds: drop ± half_width."""

    drop: float
    """Fall of the fitted line over the span, positive for a loss [y]."""
    half_width: float
    """Half-width for the confidence asked for [y]."""
    noise_part: float
    """Share of the half-width from scatter [y]; squares of the two parts add."""
    step_part: float
    """Share of the half-width from the steps of the display [y]."""
    fit: Line
    """Line through the points fitted (block means, or the readings where there are few)."""
    s_slope: float
    """Standard error of the slope after the correction for correlation [y/x]."""
    lag1: float
    """Lag-1 correlation of the points fitted, before the correction [1]."""
    lag1_corrected: float
    """After the correction [1]; 0 where the steps dominate."""
    n_effective: float
    """How many independent points they are worth [1]."""
    t: float
    """Student's t that was used [1]."""
    steps_dominate: bool
    """Whether the scatter of the readings is below half a step, so that correlation cannot be seen."""


def t_quantile(probability: float, dof: float) -> float:
    """Return a quantile of Student's t distribution.

    Parameters
    ----------
    probability
        Probability to lie below the answer, above 0 and below 1 [1]. A one-sided 95 % bound takes 0.95.
    dof
        Degrees of freedom, above 0, not necessarily whole [1].

    Returns
    -------
    float
        The quantile [1].

    Raises
    ------
    ValueError
        If the probability or the degrees of freedom are out of range.

    Notes
    -----
    Infinite degrees of freedom give the normal quantile.

    Source: JCGM 100:2008, Table G.2, which lists two-sided 90 % = one-sided 95 %.

    Examples
    --------
    JCGM 100:2008 Table G.2, 10 degrees of freedom, 90 % two-sided, prints 1.81:

    >>> f"{t_quantile(0.95, 10):.2f}"
    '1.81'
    """
    from scipy.special import stdtrit

    if not (0 < probability < 1 and dof > 0):
        raise ValueError("the probability must lie between 0 and 1, the degrees of freedom above 0")
    return NormalDist().inv_cdf(probability) if math.isinf(dof) else float(stdtrit(dof, probability))


def block_means(values: Column, blocks: int) -> NDArray[np.float64]:
    """Average consecutive values into blocks whose counts differ by at most one.

    Parameters
    ----------
    values
        Values in order, shape (n,) [any].
    blocks
        Number of blocks m, 1 to n [1].

    Returns
    -------
    numpy.ndarray
        Means, shape (m,), in the unit of the values.

    Raises
    ------
    ValueError
        If there are no blocks or more blocks than values, or a value is not finite.

    Notes
    -----
    The means are taken about the first value, so a large offset costs no digits. Block i takes the values from
    ⌊i·n/m⌋ to before ⌊(i+1)·n/m⌋.

    Source: arithmetic.

    Examples
    --------
    >>> block_means([1, 3, 5, 7, 9], 2).tolist()
    [2.0, 7.0]
    """
    import numpy as np

    array = column(values, "values")
    n = array.size
    if not 1 <= blocks <= n:
        raise ValueError(f"{n} values cannot make {blocks} blocks")
    starts = np.arange(blocks) * n // blocks
    counts = np.diff(np.append(starts, n))
    means: NDArray[np.float64] = array[0] + np.add.reduceat(array - array[0], starts) / counts
    return means


def drop_half_width(
    x: Column, y: Column, step: float, span: float | None = None, confidence: float = 0.95
) -> DropWidth:
    """Return the drop over a hold and the half-width of its one-sided bounds.

    Parameters
    ----------
    x
        Elapsed time, or any regressor that grows with it such as the shape of a viscous decay, about equally
        spaced, shape (n,), n ≥ 3 [x].
    y
        Compensated pressure, shape (n,) [y].
    step
        One step of the display, at the scale of y; 0 for a display without steps [y].
    span
        Length over which the drop is wanted; None for last minus first x [x].
    confidence
        Probability with which each bound alone holds, above 0.5 and below 1 [1].

    Returns
    -------
    DropWidth
        drop ± half_width are the two one-sided bounds.

    Raises
    ------
    ValueError
        If there are fewer than 3 readings, the step is negative, the span is not positive, the confidence is out of
        range, or the line cannot be fitted.

    Notes
    -----
    40 readings or more are averaged into 20 blocks. The line through them gives drop = −slope·span. Its error is
    widened for the correlation of the blocks, r corrected for their number, n_eff at least 3, t with n_eff − 2.
    Steps add a rectangular distribution of half-width one step on the drop: (z·step)²/3, for a display that does not
    move proves only that the drop is below one step. Where the scatter of the readings is below half a step,
    rounding hides the correlation and the plain error of the blocks is used.

    In a simulation (600 readings at 1 Hz, white or AR(1) noise up to one step, φ to 0.99) each bound held in 95.0 to
    100 % of the runs. It covers steps and noise only: temperature, barometer, gauge scale and volume are added by
    the caller.

    Source: JCGM 100:2008 4.3.7 and F.2.2.1 (rectangular distribution); Zwiers and von Storch 1995 (effective
    count); the combination is this project's.

    Examples
    --------
    A display that never moved for an hour, one step 1 mbar: 1.645/√3 = 0.95 mbar, never 0.

    >>> still = drop_half_width([0, 900, 1800, 2700, 3600], [1500, 1500, 1500, 1500, 1500], step=1)
    >>> f"{still.drop:.2f} {still.half_width:.3f}"
    '0.00 0.950'
    """
    xs, ys = column(x, "x"), column(y, "y")
    if not (0 <= step < math.inf and 0.5 < confidence < 1):
        raise ValueError("the step must be 0 or more, the confidence between 0.5 and 1")
    line = fit_line(xs, ys)
    span = float(xs[-1] - xs[0]) if span is None else span
    if not 0 < span < math.inf:
        raise ValueError("the span must be above 0")
    steps_dominate = line.residual_sd < step / 2
    if xs.size >= FEWEST_FOR_BLOCKS:
        xs, ys = block_means(xs, BLOCKS), block_means(ys, BLOCKS)
        line = fit_line(xs, ys)
    m = line.n
    r = lag1(residuals(line, xs, ys))
    corrected = 0.0 if steps_dominate else corrected_lag1(r, m)
    n_effective = effective_count(m, corrected, least=3.0)
    s_slope = adjusted_error(line.s_slope, m, n_effective)
    t = t_quantile(confidence, n_effective - 2)
    noise_part = t * s_slope * span
    step_part = NormalDist().inv_cdf(confidence) * step / math.sqrt(3)
    return DropWidth(
        drop=0.0 - line.slope * span,
        half_width=math.hypot(noise_part, step_part),
        noise_part=noise_part,
        step_part=step_part,
        fit=line,
        s_slope=s_slope,
        lag1=r,
        lag1_corrected=corrected,
        n_effective=n_effective,
        t=t,
        steps_dominate=steps_dominate,
    )
