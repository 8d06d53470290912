"""Settling: a fall (or rise) of the compensated pressure that dies out, as a leak does not."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.statistics.correlation import corrected_lag1, effective_count, lag1
from commission.statistics.drop_width import block_means, t_quantile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from commission.stages.pressure_hold.judge.series import Floats

FEWEST = 12
"""With fewer readings than this settling cannot be told from a leak [1]; our choice: three parameters and nine left
over."""
SETTLING_BLOCKS = 60
"""A longer series is averaged into this many blocks [1]; our choice: keeps the search quick."""
TIME_CONSTANTS = 22
"""How many time constants are tried, from a hundredth of the hold to twice the hold [1]; our choice: three tenths
apart, finer than noise can tell."""
FINER = 11
"""How many are tried between the neighbours of the best of them [1]; our choice: a few per cent apart."""
LEAST_WORTH = 8.0
"""The blocks are never thought worth fewer independent ones than this [1]; our choice: fewer hide any settling."""
LEVEL = 0.9995
"""Probability below which a curvature is taken for chance [1]; our choice: all time constants that are tried together
spend about a hundredth."""


class Settling(Frozen):
    """A settling that was found in a hold."""

    amplitude_pa: float
    """Settling still to come at the first reading, positive where the pressure falls to its rest [Pa]."""
    time_constant_s: float
    """Best estimate of its time constant [s]."""
    cut_s: float
    """Time after which what remains is negligible, by the slowest time constant that fits [s]."""
    tail_pa: float
    """What remains at that time [Pa]."""
    bias_pa: float
    """How much more the straight line falls over the hold than the line beside the settling [Pa]."""
    drop_pa: float
    """Fall of the line beside the settling over the whole hold, best estimate [Pa]."""
    drop_low_pa: float
    """The smallest such fall among the time constants that fit, one-sided 95 % [Pa]."""


class _Trial(Frozen):
    """One time constant tried."""

    tau: float
    amplitude: float
    slope: float
    s_slope: float
    ssr: float
    bend: float
    rest: Floats


def _try(off: Floats, centred: Floats, shape: Floats, tau: float) -> _Trial:
    """Fit slope and one settling by least squares to times and values about their means."""
    bend = shape - shape.mean()
    xx, xe, ee = float(off @ off), float(off @ bend), float(bend @ bend)
    # a settling far shorter than a block leaves nothing to fit
    free = max(xx * ee - xe * xe, 1e-12 * xx * max(ee, 1e-12))
    xy, ey = float(off @ centred), float(bend @ centred)
    slope, amplitude = (ee * xy - xe * ey) / free, (xx * ey - xe * xy) / free
    rest = centred - slope * off - amplitude * bend
    ssr = float(rest @ rest)
    bent = amplitude * (bend - off * xe / xx)
    variance = ssr / max(off.size - 4, 1)
    return _Trial(
        tau=tau,
        amplitude=amplitude,
        slope=slope,
        s_slope=math.sqrt(variance * ee / free),
        ssr=ssr,
        bend=float(bent.max() - bent.min()),
        rest=rest,
    )


def _trials(elapsed: Floats, viscous: Floats, values: Floats) -> list[_Trial]:
    """Try time constants from a hundredth of the hold to twice the hold, more closely about the best."""
    import numpy as np

    blocks = min(elapsed.size, SETTLING_BLOCKS)
    since = elapsed - elapsed[0]
    whole = float(since[-1])
    slow, level = block_means(viscous, blocks), block_means(values, blocks)
    off, centred = slow - slow.mean(), level - level.mean()
    ratio = 200 ** (1 / (TIME_CONSTANTS - 1))

    def attempt(taus: NDArray[np.float64]) -> list[_Trial]:
        return [_try(off, centred, block_means(np.exp(-since / tau), blocks), tau) for tau in taus.tolist()]

    coarse = attempt(np.geomspace(whole / 100, 2 * whole, TIME_CONSTANTS))
    near = min(coarse, key=lambda one: one.ssr).tau
    return coarse + attempt(np.geomspace(near / ratio, near * ratio, FINER)[1:-1])


def _straight(viscous: Floats, values: Floats) -> tuple[float, float]:
    """Return slope and sum of squares of a straight line through the same blocks."""
    blocks = min(viscous.size, SETTLING_BLOCKS)
    slow, level = block_means(viscous, blocks), block_means(values, blocks)
    off, centred = slow - slow.mean(), level - level.mean()
    slope = float(off @ centred) / float(off @ off)
    rest = centred - slope * off
    return slope, float(rest @ rest)


def find_settling(
    elapsed_s: Floats, viscous_s: Floats, compensated_pa: Floats, *, floor_pa: float, negligible_pa: float
) -> Settling | None:
    """Look for a settling beside a leak.

    Parameters
    ----------
    elapsed_s
        Times, increasing, shape (m,) [s].
    viscous_s
        Viscous time at them, shape (m,) [s].
    compensated_pa
        Compensated pressure, shape (m,) [Pa].
    floor_pa
        A bend smaller than this is not believed: steps of the display, tracking of the thermometer [Pa].
    negligible_pa
        What may remain of a settling when judging begins, above 0 [Pa].

    Returns
    -------
    Settling or None
        None where there is none to be seen, or too few readings to see one.

    Raises
    ------
    ValueError
        If a value is not finite.

    Notes
    -----
    p = p0 − slope·viscous time + A·exp(−t/τ), least squares with τ on a grid. Taken as found where the fit is better
    than a straight line by an F test at 99.95 %, with the degrees of freedom that the correlation of the residuals
    leaves, and the bend exceeds the floor. A viscous leak alone bends nothing, for its line is straight in viscous
    time. The time to wait is τ·ln(A/negligible) by the slowest τ that still fits.

    Source: exponential approach to rest; profile likelihood.

    Examples
    --------
    8 mbar settling with 180 s beside a leak of 1.5 mbar/h, one reading a minute:

    >>> import numpy as np
    >>> t = np.arange(61.0) * 60
    >>> found = find_settling(t, t, 150000 + 800 * np.exp(-t / 180) - 150 * t / 3600, floor_pa=20, negligible_pa=10)
    >>> round(found.time_constant_s / 180, 1), round(found.drop_pa / 150, 1)
    (1.0, 1.0)
    """
    if elapsed_s.size < FEWEST or float(elapsed_s[-1] - elapsed_s[0]) <= 0:
        return None
    trials = _trials(elapsed_s, viscous_s, compensated_pa)
    slope, ssr = _straight(viscous_s, compensated_pa)
    best = min(trials, key=lambda one: one.ssr)
    count = best.rest.size
    left = effective_count(count, corrected_lag1(max(-1.0, min(1.0, lag1(best.rest))), count), LEAST_WORTH) - 4
    gain = _gain(ssr, best.ssr, floor_pa, count)
    if best.bend < floor_pa or not _significant(gain, left):
        return None
    scale = max(best.ssr, (floor_pa / 6) ** 2 * 1e-3 * count)
    fitting = [one for one in trials if one.ssr <= best.ssr + 2.7 * scale / left]
    span = float(viscous_s[-1] - viscous_s[0])
    t = t_quantile(0.95, left) * math.sqrt(max((count - 4) / left, 1.0))
    cuts = [one.tau * math.log(max(abs(one.amplitude) / negligible_pa, 1.0)) for one in fitting]
    return Settling(
        amplitude_pa=best.amplitude,
        time_constant_s=best.tau,
        cut_s=max(cuts),
        tail_pa=math.copysign(min(negligible_pa, abs(best.amplitude)), best.amplitude),
        bias_pa=(best.slope - slope) * span,
        drop_pa=-best.slope * span,
        drop_low_pa=min((-one.slope - t * one.s_slope) * span for one in fitting),
    )


def best_exponential(elapsed_s: Floats, viscous_s: Floats, compensated_pa: Floats) -> tuple[float, float]:
    """Return how well a straight line fits, and how well one settling beside a straight line does.

    Parameters
    ----------
    elapsed_s
        Times, increasing, shape (m,), m ≥ 5 [s].
    viscous_s
        Viscous time at them, shape (m,) [s].
    compensated_pa
        Compensated pressure, shape (m,) [Pa].

    Returns
    -------
    tuple
        Sums of squares about both, of at most 60 block means [Pa²].
    """
    best = min(one.ssr for one in _trials(elapsed_s, viscous_s, compensated_pa))
    return _straight(viscous_s, compensated_pa)[1], best


def _gain(straight: float, bent: float, floor_pa: float, count: int) -> float:
    """Return how much better the bent line fits, per residual variance that rounding leaves at least."""
    least = (floor_pa / 6) ** 2 * 1e-3
    return (straight - bent) / max(bent / count, least)


def _significant(gain: float, left: float) -> bool:
    """Return whether two more parameters explain more than chance, by an F test."""
    from scipy.special import fdtri

    return gain * left / (left + 4) / 2 > float(fdtri(2, left, LEVEL))
