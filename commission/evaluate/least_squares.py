"""Linear least squares beyond the straight line: through the origin, polynomials, several predictors.

Columns are centred and scaled, then factorised by QR; normal equations are never formed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.evaluate.regression import column

if TYPE_CHECKING:
    from commission.evaluate.regression import Column


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastSquares:
    """A linear fit with one or more coefficients; their order is said by the function that returned it."""

    coefficients: tuple[float, ...]
    """Estimates, shape (p,)."""
    errors: tuple[float, ...]
    """Their standard errors, shape (p,)."""
    covariance: tuple[tuple[float, ...], ...]
    """Their covariance matrix, shape (p, p)."""
    residual_sd: float
    """Standard deviation of the residuals, with dof in the denominator [y]."""
    dof: int
    """Degrees of freedom, n − p [1]."""
    ssr: float
    """Sum of squared residuals [y2]."""
    r_squared: float
    """Share of the variation explained, about the mean, or about 0 without an intercept [1]. It says nothing about
    a leak: a tight loop has an R² near 0."""

    def t(self, index: int) -> float:
        """Return a coefficient divided by its standard error [1]; infinite for an exact fit, 0 for 0/0."""
        if self.errors[index] > 0:
            return self.coefficients[index] / self.errors[index]
        return math.copysign(math.inf, self.coefficients[index]) if self.coefficients[index] else 0.0


def fit_through_origin(x: Column, y: Column) -> LeastSquares:
    """Fit a line through the origin, y = b·x.

    Parameters
    ----------
    x
        Predictor, shape (n,), n ≥ 2 [x].
    y
        Response, shape (n,) [y].

    Returns
    -------
    LeastSquares
        One coefficient, the slope; R² is about 0, not about the mean.

    Raises
    ------
    ValueError
        If the lengths differ, there are fewer than 2 points, a value is not finite, or all x are 0.

    Notes
    -----
    b = Σxy/Σx², s² = SSR/(n−1), s_b² = s²/Σx². Assumes independent residuals of equal variance.

    Source: NIST StRD, data set NoInt1 (model without an intercept).

    Examples
    --------
    NIST StRD NoInt1 certifies the slope 2.07438016528926, its error 0.0165289256198347, R² 0.999365492298663:

    >>> fit = fit_through_origin(range(60, 71), range(130, 141))
    >>> f"{fit.coefficients[0]:.12f} {fit.errors[0]:.14f} {fit.r_squared:.12f}"
    '2.074380165289 0.01652892561983 0.999365492299'
    """
    return fit_linear([x], y, intercept=False)


def fit_linear(predictors: Sequence[Column], y: Column, *, intercept: bool = True) -> LeastSquares:
    """Fit y = b0 + b1·x1 + b2·x2 + ... by orthogonal factorisation.

    Parameters
    ----------
    predictors
        The columns x1, x2, ..., each of shape (n,) [x1, x2, ...].
    y
        Response, shape (n,) [y].
    intercept
        Whether b0 is fitted or held at 0 [true or false].

    Returns
    -------
    LeastSquares
        Coefficients in the order b0 (only with an intercept), b1, b2, ...

    Raises
    ------
    ValueError
        If there is no predictor, lengths differ, a value is not finite, there are not more points than
        coefficients, or a predictor is (nearly) a combination of the others.

    Notes
    -----
    Columns are centred (with an intercept) and scaled to length 1 before the QR. A diagonal element of R below
    1e-12 counts as dependent.

    Source: Å. Björck, "Numerical Methods for Least Squares Problems", SIAM 1996, ch. 2 (from memory);
    checked on NIST StRD Longley in the tests.

    Examples
    --------
    Hand calculation, exact data y = 1 + 2·x1 − 3·x2:

    >>> fit = fit_linear([[0, 1, 0, 2], [0, 0, 1, 1]], [1, 3, -2, 2])
    >>> [round(b, 12) for b in fit.coefficients]
    [1.0, 2.0, -3.0]
    """
    import numpy as np

    ys = column(y, "y")
    columns = [column(x, f"x{i}") for i, x in enumerate(predictors, 1)]
    n, p = ys.size, len(columns) + intercept
    if not columns or any(c.size != n for c in columns):
        raise ValueError(f"one or more predictors, each of {n} values as y, are needed")
    if n <= p:
        raise ValueError(f"{p} coefficients and their errors need more than {p} points")
    design = np.column_stack(columns)
    x_mean = design.mean(axis=0) if intercept else np.zeros(len(columns))
    y_mean = float(ys.mean()) if intercept else 0.0
    design = design - x_mean
    scale = np.sqrt((design**2).sum(axis=0))
    if not (scale > 0).all():
        raise ValueError("a predictor does not vary")
    q, r = np.linalg.qr(design / scale)
    if np.abs(np.diag(r)).min() < 1e-12:
        raise ValueError("a predictor is a combination of the others")
    back = np.linalg.inv(r) / scale[:, None]
    b = back @ (q.T @ (ys - y_mean))
    rest = (ys - y_mean) - design @ b
    ssr, dof = float(rest @ rest), n - p
    cov = back @ back.T * (ssr / dof)
    if intercept:
        to_all = np.vstack([-x_mean, np.eye(len(columns))])
        cov = to_all @ cov @ to_all.T
        cov[0, 0] += ssr / dof / n
        b = np.concatenate([[y_mean - x_mean @ b], b])
    total = float(((ys - y_mean) ** 2).sum())
    return LeastSquares(
        coefficients=tuple(b.tolist()),
        errors=tuple(np.sqrt(np.diag(cov)).tolist()),
        covariance=tuple(tuple(row) for row in cov.tolist()),
        residual_sd=math.sqrt(ssr / dof),
        dof=dof,
        ssr=ssr,
        r_squared=1 - ssr / total if total > 0 else 0.0,
    )


def fit_polynomial(x: Column, y: Column, degree: int = 2) -> LeastSquares:
    """Fit a polynomial; the t of its highest power is the test for curvature.

    Parameters
    ----------
    x
        Predictor, shape (n,) [x].
    y
        Response, shape (n,) [y].
    degree
        Highest power, 1 to 6 [1].

    Returns
    -------
    LeastSquares
        Coefficients of x⁰, x¹, ... x^degree.

    Raises
    ------
    ValueError
        If the degree is out of range, or for a reason that ``fit_linear`` gives.

    Notes
    -----
    Fitted in z = (x − middle)/half-range, which keeps the powers apart, then expanded. The highest coefficient
    keeps all its digits; the lower ones lose some where x lies far from 0 compared with its range. Correlated
    residuals inflate t: noise that lasts fakes a curve.

    Source: NIST StRD, data set Pontius (in the tests).

    Examples
    --------
    Hand calculation, exact data y = 1 − x + 2·x²:

    >>> fit = fit_polynomial([0, 1, 2, 3, 4], [1, 2, 7, 16, 29])
    >>> [round(b, 12) for b in fit.coefficients]
    [1.0, -1.0, 2.0]
    """
    import numpy as np

    if not 1 <= degree <= 6:
        raise ValueError("degree must be 1 to 6")
    xs = column(x, "x")
    if xs.size == 0 or not xs.max() > xs.min():
        raise ValueError("all x are equal")
    middle, half = float(xs.max() + xs.min()) / 2, float(xs.max() - xs.min()) / 2
    z = (xs - middle) / half
    fit = fit_linear([z**power for power in range(1, degree + 1)], y)
    expand = np.zeros((degree + 1, degree + 1))
    for power in range(degree + 1):
        for k in range(power + 1):
            expand[k, power] = math.comb(power, k) * (-middle) ** (power - k) / half**power
    cov = expand @ np.array(fit.covariance) @ expand.T
    return LeastSquares(
        coefficients=tuple((expand @ np.array(fit.coefficients)).tolist()),
        errors=tuple(np.sqrt(np.maximum(np.diag(cov), 0.0)).tolist()),
        covariance=tuple(tuple(row) for row in cov.tolist()),
        residual_sd=fit.residual_sd,
        dof=fit.dof,
        ssr=fit.ssr,
        r_squared=fit.r_squared,
    )
