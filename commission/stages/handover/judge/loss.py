"""What is lost over the years, from the top-ups: how much a month, how sure that is, and whether it grows."""

from __future__ import annotations

import math
from collections.abc import Sequence

from commission.stages.handover.model import Loss, LossWord, Topped
from commission.statistics.drop_width import t_quantile
from commission.statistics.regression import fit_line

TWO_SIDED = 0.975
"""Quantile of a two-sided 95 % interval [1]. Source: JCGM 100:2008, G.1.3."""
FEWEST_FOR_A_TREND = 3
"""Fewer top-ups tell no trend [1]: a straight line through two has no error. Source: JCGM 100:2008, H.3.2, n - 2."""

SHORTEST_S = 7 * 86_400.0
"""Top-ups within less tell no loss a month [s]; our choice: a week, a quarter of what is told, for the figure of less
is the error of a mark many times over."""


def evaluate_loss(topped: Sequence[Topped], u_mark_m3: float, usual_m3_s: float) -> Loss | None:
    """Judge the loss of coolant from the top-ups.

    Parameters
    ----------
    topped
        Top-ups in order, each with the time in which it was lost.
    u_mark_m3
        Standard uncertainty of setting the level to its mark [m3].
    usual_m3_s
        Loss that is usual [m3/s]: a rate that cannot have changed by more than this is steady.

    Returns
    -------
    Loss or None
        Loss with a 95 % interval, and a word; None without a top-up, or where all of them lie within days.

    Notes
    -----
    Losses of separate times are independent, and each is the more uncertain the longer its time. So the loss is a
    straight line through the origin of amounts over times, weighted by one over the time: it is all that was lost over
    all the time. Its error is that of such a fit, and no less than that of the first and the last mark, since an error
    of a mark in between falls out of the sum. Whether it grows is the slope of each time's own rate over the middle of
    that time, by ordinary least squares.

    Source: NIST/SEMATECH Handbook, 4.4.5.2, weights, and the certified sets NoInt1 and Norris (see the tests).
    """
    counted = [one for one in topped if one.to_s > one.from_s]
    spans = [one.to_s - one.from_s for one in counted]
    if sum(spans) < SHORTEST_S:
        return None
    total, span = sum(one.gone_m3 for one in counted), sum(spans)
    slope, s_slope = through_origin(
        [math.sqrt(each) for each in spans],
        [one.gone_m3 / math.sqrt(each) for one, each in zip(counted, spans, strict=True)],
    )
    by_marks = t_quantile(TWO_SIDED, math.inf) * math.sqrt(2) * u_mark_m3 / span
    by_scatter = t_quantile(TWO_SIDED, len(counted) - 1) * s_slope if len(counted) > 1 else 0.0
    half = max(by_marks, by_scatter)
    return Loss(
        rate_m3_s=slope,
        low_m3_s=slope - half,
        high_m3_s=slope + half,
        word=_word(counted, usual_m3_s),
        top_ups=len(counted),
        total_m3=total,
        span_s=span,
    )


def through_origin(x: Sequence[float], y: Sequence[float]) -> tuple[float, float]:
    """Return the slope of y = b x by least squares [y/x], and its standard error; 0 for that with one point.

    b = Σxy / Σx²; s² = Σ(y − bx)² / (n − 1); s_b² = s² / Σx².

    Source: NIST StRD, NoInt1 (see the tests).
    """
    sxx = math.fsum(each * each for each in x)
    slope = math.fsum(one * other for one, other in zip(x, y, strict=True)) / sxx
    rest = math.fsum((other - slope * one) ** 2 for one, other in zip(x, y, strict=True))
    dof = len(x) - 1
    return slope, math.sqrt(rest / dof / sxx) if dof else 0.0


def _word(topped: Sequence[Topped], usual_m3_s: float) -> LossWord:
    """Return how the loss goes on: steady only where its change over all this time is bounded by the usual loss."""
    if len(topped) < FEWEST_FOR_A_TREND:
        return LossWord.CANNOT_TELL
    middles = [(one.from_s + one.to_s) / 2 for one in topped]
    rates = [one.gone_m3 / (one.to_s - one.from_s) for one in topped]
    line = fit_line(middles, rates)
    half = t_quantile(TWO_SIDED, line.dof) * line.s_slope
    span = middles[-1] - middles[0]
    if line.slope - half > 0:
        return LossWord.GROWING
    if line.slope + half < 0:
        return LossWord.SHRINKING
    return LossWord.STEADY if (abs(line.slope) + half) * span <= usual_m3_s else LossWord.CANNOT_TELL
