"""The air that is still to come out, if each bleed cycle goes on bringing its share of the one before."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from commission.base.frozen import Frozen
from commission.stages.bleed.model import AirTail, TailState
from commission.statistics.drop_width import t_quantile

FEWEST = 3
"""Fewer readings than this say nothing of what is to come [1]; our choice: two readings fit any geometric tail, the
third can contradict it."""
STALLED = 0.9
"""A cycle that brings this share of the one before, or more, does not converge [1]; our choice: a tail of 0.9 a cycle
still has nine times the last cycle to come."""


class _Fit(Frozen):
    """A straight line through the logarithms."""

    ratio: float
    """Each reading is this share of the one before [1]."""
    low: float
    """Its lower bound: scatter (95 %, two-sided) or steps of the reading, whichever is wider [1]."""
    high: float
    """Its upper bound [1]."""


def tail_sum(last: float, previous: float) -> float:
    """Return the sum of all that is to come after two readings of a series that shrinks evenly.

    Parameters
    ----------
    last
        Last reading, 0 or more, below the one before [any].
    previous
        The one before [as last].

    Returns
    -------
    float
        last·r/(1 − r), r = last/previous [as last].

    Raises
    ------
    ValueError
        If the readings do not shrink.

    Notes
    -----
    A geometric series; the same as Aitken's extrapolation of its partial sums.

    Source: sum of a geometric series; A. C. Aitken 1926 (from memory).

    Examples
    --------
    Hand calculation: 15 then 5.2: r = 0.346667, 5.2·0.530612.

    >>> round(tail_sum(5.2, 15.0), 6)
    2.759184
    """
    if not 0 <= last < previous:
        raise ValueError("the readings must shrink")
    return last * last / (previous - last)


def remaining_air(gone: Sequence[float], resolution: float) -> AirTail:
    """Return the air that is still to come out after a series of bleed cycles.

    Parameters
    ----------
    gone
        What took the place of air in each cycle of equal effort, in order [m3].
    resolution
        Largest error of each reading (half-width), 0 or more [m3].

    Returns
    -------
    AirTail
        State, and for a series that converges the least, best and most that are to come [m3].

    Raises
    ------
    ValueError
        If a reading is not finite or the resolution is negative.

    Notes
    -----
    a_k = a_0·r^k is fitted through the logarithms; what is to come is a_n·r/(1 − r). The bounds are the widest of the
    fit's scatter, of the fit with every reading off by its resolution, and of the last two readings off by it.
    Readings within the resolution are not nothing: what they may hide goes on at the largest ratio seen. Only what
    came after the last cycle that did not shrink counts; with fewer than three readings after it the series does not
    converge: a leak, or air on the move. Too few readings, or too coarse ones, give no bound.

    Source: sum of a geometric series; t quantiles of JCGM 100:2008, Table G.2; the rules are this project's.

    Examples
    --------
    >>> tail = remaining_air([120e-6, 42e-6, 15e-6, 5.2e-6], 2e-6)
    >>> f"{tail.state}: {tail.best_m3 * 1e6:.3f} mL"
    'converging: 2.823 mL'
    >>> str(remaining_air([30e-6, 12e-6, 11e-6, 12.5e-6], 2e-6).state), str(remaining_air([30e-6, 9e-6], 2e-6).state)
    ('not converging', 'too few')
    """
    if not all(map(math.isfinite, gone)) or not 0 <= resolution < math.inf:
        raise ValueError("readings and resolution must be finite, the resolution 0 or more")
    values = [max(value, 0.0) for value in gone]
    if len(values) < FEWEST:
        return AirTail(state=TailState.TOO_FEW, used=len(values))
    series = values[_after_stall(values, resolution) :]
    if len(series) < FEWEST:
        return AirTail(state=TailState.NOT_CONVERGING, used=len(values))
    if series[-1] <= resolution:
        return _hidden(series, resolution)
    return _seen(series, resolution)


def _after_stall(values: list[float], resolution: float) -> int:
    """Return where the series begins that shrinks to the end: at the last reading that did not shrink."""
    start = 0
    for place, (before, now) in enumerate(pairwise(values), 1):
        if now > resolution and now >= STALLED * before:
            start = place
    return start


def _seen(series: list[float], resolution: float) -> AirTail:
    """Bound the tail of a series whose last reading can be told from nothing."""
    fit = _fit(series, resolution)
    last, previous = series[-1], series[-2]
    if fit.ratio >= STALLED:
        return AirTail(state=TailState.NOT_CONVERGING, used=len(series))
    if fit.high >= STALLED:
        return AirTail(state=TailState.TOO_FEW, used=len(series))
    lows = [_rest(last, fit.low), tail_sum(max(last - resolution, 0.0), previous + resolution)]
    highs = [_rest(last, fit.high)]
    if last + resolution < STALLED * (previous - resolution):
        highs.append(tail_sum(last + resolution, previous - resolution))
    else:  # the last two cannot be told apart, so their ratio says nothing: the whole series has to
        highs.append(_rest(last + resolution, fit.high))
    return AirTail(
        state=TailState.CONVERGING,
        low_m3=min(lows),
        best_m3=_rest(last, fit.ratio),
        high_m3=max(highs),
        ratio=fit.ratio,
        used=len(series),
    )


def _hidden(series: list[float], resolution: float) -> AirTail:
    """Bound the tail of a series that has sunk below what can be read."""
    readable = [value for value in series if value > resolution]
    if len(readable) >= FEWEST:
        fit = _fit(readable, resolution)
        ratio, most = fit.ratio, min(fit.high, STALLED)
    elif len(readable) == 2:
        ratio = readable[1] / readable[0]
        most = min((readable[1] + resolution) / max(readable[0] - resolution, resolution), STALLED)
    else:
        ratio, most = 0.5, STALLED
    return AirTail(
        state=TailState.CONVERGING,
        low_m3=0.0,
        best_m3=_rest(series[-1], min(ratio, STALLED)),
        high_m3=max(resolution / (1 - most), _rest(series[-1] + resolution, most)),
        ratio=ratio if len(readable) >= 2 else None,
        used=len(series),
    )


def _rest(last: float, ratio: float) -> float:
    return last * ratio / (1 - ratio)


def _fit(series: list[float], resolution: float) -> _Fit:
    """Fit the logarithms by least squares; all readings are above the resolution."""
    n = len(series)
    places = [place - (n - 1) / 2 for place in range(n)]
    spread = math.fsum(place * place for place in places)
    logs = [math.log(value) for value in series]
    mean = math.fsum(logs) / n
    slope = math.fsum(place * log for place, log in zip(places, logs, strict=True)) / spread
    squares = math.fsum((log - mean - slope * place) ** 2 for place, log in zip(places, logs, strict=True))
    scatter = t_quantile(0.975, n - 2) * math.sqrt(squares / (n - 2) / spread)

    def tilted(way: float) -> float:
        # A later reading off upwards and an earlier one downwards tilts the line most.
        parts = (
            place * math.log(value + math.copysign(resolution, place) * way)
            for place, value in zip(places, series, strict=True)
            if place != 0
        )
        return math.fsum(parts) / spread

    return _Fit(
        ratio=_ratio(slope),
        low=_ratio(min(slope - scatter, tilted(-1.0))),
        high=_ratio(max(slope + scatter, tilted(1.0))),
    )


def _ratio(log: float) -> float:
    """Return a ratio from its logarithm; beyond 1 it does not matter how far, and must not overflow."""
    return math.exp(min(log, 1.0))
