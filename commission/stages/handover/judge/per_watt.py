"""Coolant above air per watt over the years, beside what it was at handover."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from commission.base.verdict import Bounded
from commission.record.machine.over_years import Compared
from commission.stages.handover.judge.loss import FEWEST_FOR_A_TREND, TWO_SIDED
from commission.stages.handover.model import PerWatt, SinceWord
from commission.statistics.drop_width import t_quantile
from commission.statistics.regression import fit_line

YEAR_S = 31_557_600.0
"""A year of 365.25 days [s]. Source: the Julian year of the International Astronomical Union."""


def evaluate_per_watt(soaks: Sequence[Compared], first: int, same_share: float) -> PerWatt | None:
    """Compare coolant above air per watt of the last soak with that at handover.

    Parameters
    ----------
    soaks
        Soaks in order of time.
    first
        Place of the one at handover [1].
    same_share
        Growth that must be excluded to call it as good as then [1].

    Returns
    -------
    PerWatt or None
        The change with a 95 % interval, and a word; None with fewer than two soaks from that one on.

    Notes
    -----
    The bounds of each soak are one-sided 95 % bounds, so that their distance is 2 · 1.645 standard uncertainties. The
    two are taken as independent, although the same sensors read both: that is the safe side.

    Source: JCGM 100:2008, 5.1.2 (law of propagation) and G.1.3.
    """
    kept = soaks[first:]
    if len(kept) < 2 or kept[0].k_per_w.value <= 0:
        return None
    then, last = kept[0].k_per_w, kept[-1].k_per_w
    ratio = last.value / then.value
    u = ratio * math.hypot(_relative(then), _relative(last))
    half = t_quantile(TWO_SIDED, math.inf) * u
    per_year, u_per_year = _per_year(kept, then.value)
    return PerWatt(
        first=then,
        last=last,
        change=ratio - 1,
        low=ratio - 1 - half,
        high=ratio - 1 + half,
        word=_word(ratio - 1 - half, ratio - 1 + half, same_share),
        soaks=len(kept),
        per_year=per_year,
        u_per_year=u_per_year,
    )


def _relative(found: Bounded) -> float:
    """Return the standard uncertainty of a figure over the figure itself [1]."""
    return (found.upper95 - found.lower95) / (2 * t_quantile(0.95, math.inf)) / abs(found.value)


def _word(low: float, high: float, same_share: float) -> SinceWord:
    if low > 0:
        return SinceWord.WORSE
    if high < 0:
        return SinceWord.BETTER
    return SinceWord.SAME if high <= same_share else SinceWord.CANNOT_TELL


def _per_year(soaks: Sequence[Compared], first: float) -> tuple[float | None, float | None]:
    """Return the change per year as a share of the first figure, with the half-width of its 95 % interval."""
    years = [(one.mark.wall_ms - soaks[0].mark.wall_ms) / 1000 / YEAR_S for one in soaks]
    if len(soaks) < FEWEST_FOR_A_TREND or any(later <= sooner for sooner, later in pairwise(years)):
        return None, None
    line = fit_line(years, [one.k_per_w.value / first for one in soaks])
    return line.slope, t_quantile(TWO_SIDED, line.dof) * line.s_slope
