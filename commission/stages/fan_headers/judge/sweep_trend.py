"""Whether speed rises with duty: ranks of levels, Kendall's S with its exact odds, Theil and Sen's slope, Page's L."""

from __future__ import annotations

import math
from collections import Counter
from functools import lru_cache
from itertools import combinations, pairwise
from statistics import median
from typing import TYPE_CHECKING

from commission.stages.fan_headers.model.sweep import Trend

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_EXACT = 30
"""Levels up to which the odds are counted and not approximated [1]; our choice: counting takes milliseconds up to
here; the approximation is good beyond."""


def ranks_of(values: Sequence[float], alike: float) -> tuple[int, ...]:
    """Rank values, with one rank for those that lie close together.

    Parameters
    ----------
    values
        Values [any].
    alike
        Distance up to which a value shares the rank of the lowest of its cluster, 0 or more [as values].

    Returns
    -------
    tuple
        Rank of each, from 0 [1].

    Raises
    ------
    ValueError
        If alike is negative or a value is NaN.

    Notes
    -----
    Distances count from the lowest of the cluster: values that creep up in small steps do not chain into one rank.

    Examples
    --------
    >>> ranks_of([899, 902, 901, 900, 1200, 1500], 30)
    (0, 0, 0, 0, 1, 2)
    """
    if not alike >= 0 or any(math.isnan(value) for value in values):
        raise ValueError("values must be numbers and the distance 0 or more")
    ranks: dict[float, int] = {}
    anchor, rank = -math.inf, -1
    for value in sorted(set(values)):
        if value - anchor > alike:
            anchor, rank = value, rank + 1
        ranks[value] = rank
    return tuple(ranks[value] for value in values)


def trend_of(duties: Sequence[float], speeds: Sequence[float], alike: float) -> Trend:
    """Return the order of levels and the odds of such an order.

    Parameters
    ----------
    duties
        Duty of each level, strictly rising, at least one [%].
    speeds
        Median speed of each [rpm].
    alike
        Distance up to which levels share a rank, 0 or more [rpm].

    Returns
    -------
    Trend
        Pairs, odds, ranks and slope [1, rpm/%].

    Raises
    ------
    ValueError
        If the lengths differ or duties do not rise.

    Notes
    -----
    S and its exact distribution: Kendall 1938. Slope: Theil 1950, Sen 1968. Four levels never reach p < 0.01.

    Examples
    --------
    A perfect order of five levels, 1/5!:

    >>> trend = trend_of([20, 40, 60, 80, 100], [300, 600, 900, 1200, 1500], 30)
    >>> trend.s, round(trend.p_up, 7), trend.slope_rpm_per_pct
    (10, 0.0083333, 15.0)
    """
    if len(duties) != len(speeds) or any(b <= a for a, b in pairwise(duties)):
        raise ValueError("duties must rise, and each must have one speed")
    ranks = ranks_of(speeds, alike)
    rising = sum(a < b for a, b in combinations(ranks, 2))
    falling = sum(a > b for a, b in combinations(ranks, 2))
    p_up, p_down = order_odds(ranks)
    return Trend(
        levels=len(duties),
        concordant=rising,
        discordant=falling,
        p_up=p_up,
        p_down=p_down,
        ranks=ranks,
        slope_rpm_per_pct=median_slope(duties, speeds) if len(duties) > 1 else 0.0,
    )


def order_odds(ranks: Sequence[int]) -> tuple[float, float]:
    """Return the odds that chance orders values at least as well, rising and falling.

    Parameters
    ----------
    ranks
        Rank of each value in the order of its cause; equal ranks are ties [1].

    Returns
    -------
    tuple
        Probability of S this large or larger, and of S this small or smaller [1].

    Notes
    -----
    Exact up to 30 values: the pairs out of order, over all arrangements of the same ranks, are counted by the
    Gaussian multinomial coefficients (MacMahon 1916, from memory). Beyond, the normal approximation with the
    continuity correction and Var S = (n(n−1)(2n+5) − Σ t(t−1)(2t+5))/18 (Kendall 1970).

    Examples
    --------
    >>> [round(p, 7) for p in order_odds([0, 0, 1, 2, 3, 4])]
    [0.0027778, 1.0]
    """
    rising = sum(a < b for a, b in combinations(ranks, 2))
    falling = sum(a > b for a, b in combinations(ranks, 2))
    groups = tuple(sorted(Counter(ranks).values()))
    if len(ranks) > MOST_EXACT:
        return _normal_odds(len(ranks), groups, rising - falling)
    counts = _inversions(groups)
    total = sum(counts)
    return sum(counts[: falling + 1]) / total, sum(counts[: rising + 1]) / total


@lru_cache(maxsize=256)
def _inversions(groups: tuple[int, ...]) -> tuple[int, ...]:
    """Count the arrangements of ties of these sizes by their number of pairs out of order."""
    counts: tuple[int, ...] = (1,)
    placed = 0
    for size in groups:
        placed += size
        counts = _times(counts, _gauss(placed, size))
    return counts


@lru_cache(maxsize=1024)
def _gauss(n: int, k: int) -> tuple[int, ...]:
    """Return the coefficients of the Gaussian binomial of n over k."""
    if k in (0, n):
        return (1,)
    low, high = _gauss(n - 1, k), _gauss(n - 1, k - 1)
    counts = [0] * (k * (n - k) + 1)
    for i, c in enumerate(high):
        counts[i] += c
    for i, c in enumerate(low):
        counts[i + k] += c
    return tuple(counts)


def _times(a: Sequence[int], b: Sequence[int]) -> tuple[int, ...]:
    product = [0] * (len(a) + len(b) - 1)
    for i, x in enumerate(a):
        for j, y in enumerate(b):
            product[i + j] += x * y
    return tuple(product)


def variance_of_s(n: int, groups: Sequence[int] = ()) -> float:
    """Return the variance of Kendall's S by chance.

    Parameters
    ----------
    n
        Number of values, 1 or more [1].
    groups
        Sizes of groups of equal values; groups of one may be left out [1].

    Returns
    -------
    float
        Variance of rising less falling pairs [1].

    Raises
    ------
    ValueError
        If n is below 1.

    Notes
    -----
    (n(n−1)(2n+5) − Σ t(t−1)(2t+5))/18.

    Examples
    --------
    >>> variance_of_s(9), variance_of_s(9, [2])
    (92.0, 91.0)
    """
    if n < 1:
        raise ValueError("n must be 1 or more")
    return (n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in groups)) / 18


def _normal_odds(n: int, groups: Sequence[int], s: int) -> tuple[float, float]:
    sd = math.sqrt(variance_of_s(n, groups))
    if sd == 0:
        return 1.0, 1.0
    return _tail((s - 1) / sd), _tail((-s - 1) / sd)


def _tail(z: float) -> float:
    """Return the normal probability above z, with its digits also far out."""
    return 0.5 * math.erfc(z / math.sqrt(2))


def median_slope(duties: Sequence[float], speeds: Sequence[float]) -> float:
    """Return the median of the slopes between all pairs of levels, which one wild level in four moves little [rpm/%].

    Parameters
    ----------
    duties
        Duty of each level, at least two of them different [%].
    speeds
        Speed of each [rpm].

    Raises
    ------
    ValueError
        If no two duties differ.

    Notes
    -----
    Source: Theil 1950; Sen, J. Am. Stat. Assoc. 63 (1968), 1379.

    Examples
    --------
    >>> median_slope([20, 40, 60, 80, 100], [300, 600, 900, 1200, 5000])
    15.0
    """
    pairs = combinations(zip(duties, speeds, strict=True), 2)
    slopes = [(y1 - y0) / (x1 - x0) for (x0, y0), (x1, y1) in pairs if x1 != x0]
    if not slopes:
        raise ValueError("at least two duties must differ")
    return median(slopes)
