"""The approach to an end value by one time constant, and bounds for the end."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.statistics.correlation import corrected_lag1, effective_count, lag1
from commission.statistics.drop_width import block_means, t_quantile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_BLOCKS = 300
"""More readings are averaged into so many blocks [1]; our choice: a curve with one bend needs no more, and quick."""
LEAST_READINGS = 6
"""Fewer tell no approach [1]; our choice: three unknowns, and as many readings to be sure by."""
LEVEL = 0.95
"""Each bound holds with this probability [1]; our choice: the level of every bound in this program."""
LONGEST = 20.0
"""Longest time constant that is tried, in spans of the readings [1]; our choice: beyond it a curve looks straight."""
TRIED = 120
"""Time constants that are tried at first [1]; our choice: neighbours differ by less than one tenth."""


class Approach(Frozen):
    """Where readings lead to."""

    end_k: float
    """Best estimate of the end [K]."""
    low_k: float | None
    """The end is no lower [K]; None where the readings do not bound it."""
    high_k: float | None
    """The end is no higher [K]; None where the readings do not bound it."""
    time_constant_s: float | None
    """Time constant [s]; None where the readings show no bend and no step."""
    step_k: float
    """How far the end lies above the first fitted value [K]."""
    from_s: float
    """Time of the first reading [s]."""


def fit_approach(elapsed_s: NDArray[np.float64], value_k: NDArray[np.float64], resolution_k: float) -> Approach | None:
    """Fit T(t) = end - step exp(-t/tau) and bound the end.

    Parameters
    ----------
    elapsed_s
        Times, rising [s].
    value_k
        Temperatures, all finite [K].
    resolution_k
        One step of the display, above 0 [K].

    Returns
    -------
    Approach or None
        The fit; None where there are fewer than six readings.

    Notes
    -----
    For each of many time constants end and step follow by least squares; the bounds of the end are those of all pairs
    whose sum of squares is no worse than the best by t² s² (profile of the likelihood). s is never below the step of
    the display over sqrt(12) (JCGM 100:2008, F.2.2.1), and is widened for residuals that hang together. Where the
    longest time constant that is tried fits as well, the end is open on the side towards which it goes.

    Source: lumped heat balance C dT/dt = Q - (T - Ta)/R; the profile as in any text on non-linear least squares.
    """
    import numpy as np

    n = int(elapsed_s.size)
    if n < LEAST_READINGS:
        return None
    if n > MOST_BLOCKS:
        elapsed_s, value_k, n = block_means(elapsed_s, MOST_BLOCKS), block_means(value_k, MOST_BLOCKS), MOST_BLOCKS
    t, mean, since = elapsed_s - elapsed_s[0], float(value_k.mean()), float(elapsed_s[0])
    y = value_k - mean
    found = _searched(t, y, resolution_k, n)
    profile, at = found.profile, int(found.profile.rss.argmin())
    if float(y @ y) - float(profile.rss[at]) <= 2 * found.allowed:
        wide = math.sqrt(found.allowed / n)
        return Approach(
            end_k=mean, low_k=mean - wide, high_k=mean + wide, time_constant_s=None, step_k=0.0, from_s=since
        )
    step = -float(profile.b[at])
    slack = float(profile.rss[at]) + found.allowed - profile.rss
    half = np.sqrt(np.clip(slack, 0.0, None) * profile.a_factor)
    low, high = float((profile.a - half)[slack >= 0].min()), float((profile.a + half)[slack >= 0].max())
    return Approach(
        end_k=mean + float(profile.a[at]),
        low_k=None if found.is_open and step < 0 else mean + low,
        high_k=None if found.is_open and step >= 0 else mean + high,
        time_constant_s=float(found.taus[at]),
        step_k=step,
        from_s=since,
    )


class _Search(Frozen, kw_only=False):
    """The fits of the time constants that were tried last."""

    taus: NDArray[np.float64]
    """Time constants [s]."""
    profile: _Profile
    """Their fits."""
    allowed: float
    """How much worse than the best a sum of squares may be [K2]."""
    is_open: bool
    """Whether the longest time constant of all fits as well."""


def _searched(t: NDArray[np.float64], y: NDArray[np.float64], resolution_k: float, n: int) -> _Search:
    """Try time constants, the second and third time between the neighbours of those that fit."""
    import numpy as np

    span = float(t[-1])
    taus = np.geomspace(span / 100, LONGEST * span, TRIED)
    for last in (False, False, True):
        profile = _profile(t, y, taus)
        at = int(profile.rss.argmin())
        variance, t95 = _variance(profile, t, y, taus[at], at, resolution_k, n)
        allowed = t95 * t95 * variance
        fits = np.flatnonzero(profile.rss <= float(profile.rss[at]) + allowed)
        if last:
            break
        taus = np.geomspace(taus[max(fits[0] - 1, 0)], taus[min(fits[-1] + 1, TRIED - 1)], TRIED)
    is_open = bool(fits[-1] == TRIED - 1) and float(taus[-1]) >= LONGEST * span * (1 - 1e-9)
    return _Search(taus, profile, allowed, is_open)


class _Profile(Frozen, kw_only=False):
    """Least squares for each time constant: y = a + b exp(-t/tau)."""

    a: NDArray[np.float64]
    b: NDArray[np.float64]
    rss: NDArray[np.float64]
    a_factor: NDArray[np.float64]


def _profile(t: NDArray[np.float64], y: NDArray[np.float64], taus: NDArray[np.float64]) -> _Profile:
    import numpy as np

    e = np.exp(-t[None, :] / taus[:, None])
    e_mean = e.mean(axis=1)
    d = e - e_mean[:, None]
    see = np.einsum("ij,ij->i", d, d)
    b = (d @ y) / see
    rss = np.clip(float(y @ y) - b * b * see, 0.0, None)
    return _Profile(-b * e_mean, b, rss, 1 / t.size + e_mean * e_mean / see)


def _variance(
    profile: _Profile,
    t: NDArray[np.float64],
    y: NDArray[np.float64],
    tau: float,
    at: int,
    resolution_k: float,
    n: int,
) -> tuple[float, float]:
    """Return the variance of one reading, widened for residuals that hang together, and Student's t."""
    import numpy as np

    rest = y - profile.a[at] - profile.b[at] * np.exp(-t / tau)
    worth = effective_count(n, corrected_lag1(lag1(rest), n), least=4.0)
    least = resolution_k * resolution_k / 12
    variance = max(float(profile.rss[at]) / (n - 3), least) * n / worth
    return variance, t_quantile(LEVEL, max(1.0, worth - 3))
