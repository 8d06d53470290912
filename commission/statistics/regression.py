"""A straight line by least squares, with the errors of its slope and intercept.

Everything is centred before it is multiplied, so that seconds since 1970 or pressures near 1.5e5 Pa lose no digits.
What serial correlation does to the errors is in ``correlation``; quantiles of Student's t are in ``drop_width``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen

if TYPE_CHECKING:
    from typing import TypeAlias

    import numpy as np
    from numpy.typing import NDArray

    Column: TypeAlias = Sequence[float] | NDArray[np.float64]


class Line(Frozen):
    """A straight line y = ȳ + slope·(x − x̄) with the error of independent residuals."""

    slope: float
    """Change of y per unit of x [y/x]."""
    s_slope: float
    """Standard error of the slope [y/x]."""
    residual_sd: float
    """Standard deviation of the residuals, with dof in the denominator [y]."""
    dof: int
    """Degrees of freedom, n − 2 [1]."""
    n: int
    """Number of points [1]."""
    x_mean: float
    """Mean of x [x]."""
    y_mean: float
    """Mean of y [y]."""
    ssr: float
    """Sum of squared residuals [y2]."""


def column(values: Column, name: str) -> NDArray[np.float64]:
    """Return values as a one-dimensional array of floats, refusing what cannot be fitted.

    Parameters
    ----------
    name
        What to call them in the error [text].

    Returns
    -------
    numpy.ndarray
        The same numbers, shape (n,); the input itself where it is an array of floats already.

    Raises
    ------
    ValueError
        If there is not exactly one dimension, or a value is not finite.

    Examples
    --------
    >>> column([1, 2], "x").tolist()
    [1.0, 2.0]
    """
    import numpy as np

    array = np.asarray(values, dtype=np.float64)
    if array.ndim != 1:
        raise ValueError(f"{name} must have one dimension, not {array.ndim}")
    if not np.isfinite(array).all():
        raise ValueError(f"{name} must be finite")
    return array


def fit_line(x: Column, y: Column) -> Line:
    """Fit a straight line by ordinary least squares.

    Returns
    -------
    Line
        Slope with its error, the means through which the line goes, residual standard deviation.

    Raises
    ------
    ValueError
        If the lengths differ, there are fewer than 3 points, a value is not finite, or all x are equal.

    Notes
    -----
    b = Σ(x−x̄)(y−ȳ)/Σ(x−x̄)²; s² = SSR/(n−2); s_b² = s²/Sxx.
    The errors hold for independent residuals of equal variance: not for a display with coarse steps (one that
    never moves gives an error of 0), nor for readings closer together than the noise is long.

    Source: JCGM 100:2008, H.3.2; NIST/SEMATECH Handbook, certified data sets (see the tests).

    Examples
    --------
    Calibration of a thermometer, JCGM 100:2008 H.3, Table H.6 (t − 20 °C against the correction in °C); the
    guide prints an intercept of −0.1712 and a slope of 0.00218(67):

    >>> t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
    >>> b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]
    >>> line = fit_line([v - 20 for v in t], b)
    >>> f"{line.y_mean - line.slope * line.x_mean:.4f} {line.slope:.5f} {line.s_slope:.5f}"
    '-0.1712 0.00218 0.00067'
    """
    xs, ys = column(x, "x"), column(y, "y")
    n = xs.size
    if ys.size != n:
        raise ValueError(f"x has {n} values, y has {ys.size}")
    if n < 3:
        raise ValueError("a line and its error need at least 3 points")
    x_mean, y_mean = float(xs.mean()), float(ys.mean())
    dx, dy = xs - x_mean, ys - y_mean
    sxx = float(dx @ dx)
    if not sxx > 0:
        raise ValueError("all x are equal")
    slope = float(dx @ dy) / sxx
    dy -= slope * dx
    ssr = float(dy @ dy)
    variance = ssr / (n - 2)
    return Line(
        slope=slope,
        s_slope=math.sqrt(variance / sxx),
        residual_sd=math.sqrt(variance),
        dof=n - 2,
        n=n,
        x_mean=x_mean,
        y_mean=y_mean,
        ssr=ssr,
    )


def residuals(line: Line, x: Column, y: Column) -> NDArray[np.float64]:
    """Return what a line leaves over.

    Returns
    -------
    numpy.ndarray
        y − line, shape (n,) [y].

    Raises
    ------
    ValueError
        If the lengths differ or a value is not finite.

    Notes
    -----
    Differences are taken from the means, so a large offset of x costs no digits.

    Examples
    --------
    Hand calculation: the line through 0, 3, 0 at x = 0, 1, 2 is y = 1.

    >>> residuals(fit_line([0, 1, 2], [0, 3, 0]), [0, 1, 2], [0, 3, 0]).tolist()
    [-1.0, 2.0, -1.0]
    """
    xs, ys = column(x, "x"), column(y, "y")
    if xs.size != ys.size:
        raise ValueError(f"x has {xs.size} values, y has {ys.size}")
    rest: NDArray[np.float64] = (ys - line.y_mean) - line.slope * (xs - line.x_mean)
    return rest
