"""What gets worse while a soak goes on: flow that falls at one duty, and a climb behind the bend."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.quantity import K95
from commission.stages.thermal_soak.judge.approach import MOST_BLOCKS
from commission.statistics.drop_width import block_means
from commission.statistics.regression import fit_line

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LEAST_READINGS = 8
"""Fewer show no trend behind a bend [1]; our choice: four unknowns, and as many readings to be sure by."""
BENDS = 6.0
"""The bend is over after so many of its time constants [1]; our choice: a quarter of a percent is left."""
TRIED = 40
"""Time constants of the bend that are tried [1]; our choice: neighbours differ by about a tenth."""


def fall_of_flow(elapsed_s: NDArray[np.float64], flow_m3_s: NDArray[np.float64]) -> float:
    """Return the share by which the flow fell at least, from first to last [1]; 0 where that is not proved.

    Notes
    -----
    The fall of a straight line less twice its error, over its first value. The scale of the meter does not enter: it is
    the same at both ends.

    Source: arithmetic; errors of the line as in ``statistics.regression``.
    """
    import numpy as np

    known = ~np.isnan(flow_m3_s)
    if int(known.sum()) < LEAST_READINGS:
        return 0.0
    t, y = elapsed_s[known], flow_m3_s[known]
    line = fit_line(t, y)
    span = float(t[-1] - t[0])
    first = line.y_mean - line.slope * (line.x_mean - float(t[0]))
    least = -(line.slope + K95 * line.s_slope) * span
    return max(0.0, least / first) if first > 0 else 0.0


def climb_behind_bend(elapsed_s: NDArray[np.float64], above_k: NDArray[np.float64], resolution_k: float) -> float:
    """Return the slope with which it climbs on at least, once its bend is over [K/s]; 0 where that is not proved.

    Notes
    -----
    T(t) = a + b exp(-t/tau) + c t with tau at most a sixth of the time covered, and c less twice its error. It counts
    only where one time constant alone fits clearly worse, since a slow approach is no trend.

    Source: our choice; least squares.
    """
    import numpy as np

    n = int(elapsed_s.size)
    if n < LEAST_READINGS:
        return 0.0
    if n > MOST_BLOCKS:
        elapsed_s, above_k, n = block_means(elapsed_s, MOST_BLOCKS), block_means(above_k, MOST_BLOCKS), MOST_BLOCKS
    t = elapsed_s - elapsed_s[0]
    span, y = float(t[-1]), above_k - above_k.mean()
    best, slope, error, single = math.inf, 0.0, 0.0, math.inf
    for tau in np.geomspace(span / 60, 20 * span, 2 * TRIED):
        bend = np.exp(-t / tau)
        single = min(single, _fit(np.column_stack((np.ones(n), bend)), y)[0])
        if tau > span / BENDS:
            continue
        rss, found, inverse = _fit(np.column_stack((np.ones(n), bend, t)), y)
        if rss < best:
            variance = max(rss / (n - 4), resolution_k * resolution_k / 12)
            best, slope, error = rss, float(found[2]), math.sqrt(variance * inverse[2, 2])
    variance = max(best / (n - 4), resolution_k * resolution_k / 12)
    if single - best <= K95 * K95 * variance:
        return 0.0
    return max(0.0, slope - K95 * error)


def _fit(basis: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[float, NDArray[np.float64], NDArray[np.float64]]:
    """Return the sum of squares, the coefficients, and the inverse of the normal matrix."""
    import numpy as np

    inverse = np.linalg.pinv(basis.T @ basis)
    found = inverse @ (basis.T @ y)
    rest = y - basis @ found
    return float(rest @ rest), found, np.asarray(inverse, dtype=np.float64)
