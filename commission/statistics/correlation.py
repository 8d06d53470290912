"""What readings that resemble their neighbours do to the error of a slope.

Readings at 1 Hz from a gauge with slow noise are far fewer independent readings than they seem.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.statistics.regression import column

if TYPE_CHECKING:
    from commission.statistics.regression import Column

HIGHEST_LAG1 = 0.95
"""Highest lag-1 correlation that the correction believes [1]; our choice: with 20 blocks more cannot be told from a
trend."""


def lag1(rest: Column) -> float:
    """Return the lag-1 autocorrelation of residuals.

    Parameters
    ----------
    rest
        Residuals in order of time, equally spaced, mean near 0, shape (n,), n ≥ 2 [any].

    Returns
    -------
    float
        r1 = Σe(i)·e(i+1)/Σe(i)², −1 to 1 [1]; 0 where all residuals are 0.

    Raises
    ------
    ValueError
        If there are fewer than 2 residuals or one is not finite.

    Notes
    -----
    Biased low in short series by about (1 + 3r)/n; see ``corrected_lag1``.

    Source: D. S. Wilks, "Statistical Methods in the Atmospheric Sciences", ch. on time series (from memory).

    Examples
    --------
    Hand calculation: (1·−1 + −1·1 + 1·−1)/4 = −0.75.

    >>> lag1([1, -1, 1, -1])
    -0.75
    """
    e = column(rest, "residuals")
    if e.size < 2:
        raise ValueError("a correlation of neighbours needs at least 2 residuals")
    square = float(e @ e)
    return float(e[:-1] @ e[1:]) / square if square > 0 else 0.0


def corrected_lag1(r1: float, n: int) -> float:
    """Return a lag-1 autocorrelation corrected for the length of its series and clipped.

    Parameters
    ----------
    r1
        Lag-1 autocorrelation of the residuals, −1 to 1 [1].
    n
        Number of residuals, above 0 [1].

    Returns
    -------
    float
        r1 + (1 + 3·r1)/n, clipped to 0 ... 0.95 [1]. Negative correlation is not believed.

    Raises
    ------
    ValueError
        If r1 is outside −1 ... 1 or n is not positive.

    Notes
    -----
    First-order bias of r1 about an estimated mean. For 20 blocks of a hold the result, with the rest of the rule in
    ``drop_width``, covered the truth in 95.0 to 100 % of simulated runs.

    Source: F. H. C. Marriott and J. A. Pope, Biometrika 41 (1954) 390 (from memory).

    Examples
    --------
    Hand calculation: 0.2 + 1.6/20 = 0.28.

    >>> round(corrected_lag1(0.2, 20), 12)
    0.28
    """
    if not (-1 <= r1 <= 1 and n > 0):
        raise ValueError("r1 must lie in -1 ... 1 and n must be positive")
    return min(max(r1 + (1 + 3 * r1) / n, 0.0), HIGHEST_LAG1)


def effective_count(n: float, r1: float, least: float = 0.0) -> float:
    """Return how many independent readings n correlated readings are worth.

    Parameters
    ----------
    n
        Number of readings, above 0 [1].
    r1
        Lag-1 autocorrelation of the residuals, −1 to below 1 [1].
    least
        The answer is never below this [1].

    Returns
    -------
    float
        n·(1 − r1)/(1 + r1), never above n (a negative r1 counts as 0) [1].

    Raises
    ------
    ValueError
        If n is not positive or r1 lies outside −1 ... below 1.

    Notes
    -----
    For noise of first order (AR(1)) and long series; wanted: 30 or more.

    Source: F. W. Zwiers and H. von Storch, J. Climate 8 (1995) 336, as cited by course notes on climate data.

    Examples
    --------
    600 readings with r1 = 0.9, by hand 600·0.1/1.9:

    >>> round(effective_count(600, 0.9), 7)
    31.5789474
    """
    if not (n > 0 and math.isfinite(n) and -1 <= r1 < 1):
        raise ValueError("n must be positive and r1 must lie in -1 ... below 1")
    r1 = max(r1, 0.0)
    return max(least, n * (1 - r1) / (1 + r1))


def adjusted_error(s_slope: float, n: int, n_effective: float) -> float:
    """Return the standard error of a slope as if there were only the effective number of readings.

    Parameters
    ----------
    s_slope
        Standard error for independent residuals, 0 or more [y/x].
    n
        Number of points fitted, 3 or more [1].
    n_effective
        How many independent ones they are worth, above 2, at most n [1].

    Returns
    -------
    float
        s_slope·√((n − 2)/(n_effective − 2)) [y/x].

    Raises
    ------
    ValueError
        If a count is out of range or the error is negative or not finite.

    Notes
    -----
    To be used with Student's t for n_effective − 2 degrees of freedom.

    Source: B. D. Santer et al., J. Geophys. Res. 105 (2000) 7337 (from memory).

    Examples
    --------
    Hand calculation: √((61 − 2)/(16.75 − 2)) = 2.

    >>> adjusted_error(0.5, 61, 16.75)
    1.0
    """
    if not (2 < n_effective <= n and 0 <= s_slope < math.inf):
        raise ValueError("the effective count must lie above 2 and not above n, the error must be 0 or more")
    return s_slope * math.sqrt((n - 2) / (n_effective - 2))
