"""Whether coolant above air stands still, by its slope and the bound of that."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.quantity import K95
from commission.stages.thermal_soak.model import Steady, SteadyWord
from commission.statistics.correlation import corrected_lag1, effective_count, lag1
from commission.statistics.regression import fit_line, residuals

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from commission.stages.thermal_soak.model import SoakRule

LEAST_READINGS = 5
"""Fewer tell no slope with a bound [1]; our choice: two for the line, three to be sure by."""


def window_needed(rule: SoakRule, time_constant_s: float | None) -> float:
    """Return how long it must stand still [s]."""
    if time_constant_s is None:
        return rule.flat_s
    return max(rule.least_window_s, rule.window_time_constants * time_constant_s)


def judge_steady(
    elapsed_s: NDArray[np.float64],
    above_k: NDArray[np.float64],
    time_constant_s: float | None,
    resolution_k: float,
    rule: SoakRule,
) -> Steady | None:
    """Judge whether coolant above air stands still at the end.

    Parameters
    ----------
    elapsed_s
        Times since load and duties are unchanged, rising [s].
    above_k
        Coolant above air [K].
    time_constant_s
        Time constant of the approach [s]; None where none shows.
    resolution_k
        One step of the display [K].

    Returns
    -------
    Steady or None
        The word and what it rests on; None where there are too few readings.

    Notes
    -----
    Steady where |slope| + 2 u is at most the limit over the whole window; not steady where |slope| - 2 u is above it. A
    display that never moves proves only that less than one step went by: then one step over the window is the bound.

    Source: our choice, from the rules of 1 K/h in IEC 60598, 12.4.1, and BS 1363-1, with the bound added.
    """
    needed = window_needed(rule, time_constant_s)
    if elapsed_s.size < LEAST_READINGS:
        return None
    # sparse readings: the window grows to the fewest that tell a slope
    since = min(float(elapsed_s[-1]) - needed, float(elapsed_s[-LEAST_READINGS]))
    inside = elapsed_s >= since
    t, y = elapsed_s[inside], above_k[inside]
    line = fit_line(t, y)
    covered = float(elapsed_s[-1] - elapsed_s[0])
    u = slope_error(t, residuals(line, t, y), line.residual_sd, resolution_k)
    bound = abs(line.slope) + K95 * u
    if len(set(y.tolist())) == 1:
        bound = resolution_k / float(t[-1] - t[0])
    word = SteadyWord.CANNOT_TELL
    if abs(line.slope) - K95 * u > rule.slope_k_s:
        word = SteadyWord.NOT_STEADY
    elif covered >= needed * (1 - 1e-9) and bound <= rule.slope_k_s:
        word = SteadyWord.STEADY
    window = min(needed, covered)
    return Steady(word=word, slope_k_s=line.slope, u_slope_k_s=u, window_s=window, needed_s=needed)


def slope_error(
    elapsed_s: NDArray[np.float64], rest: NDArray[np.float64], residual_sd: float, resolution_k: float
) -> float:
    """Return the standard error of a slope [K/s], never below what a display of that step leaves open."""
    sxx = float(((elapsed_s - elapsed_s.mean()) ** 2).sum())
    sd = max(residual_sd, resolution_k / math.sqrt(12))
    n = int(elapsed_s.size)
    worth = effective_count(n, corrected_lag1(lag1(rest), n), least=3.0)
    return sd / math.sqrt(sxx) * math.sqrt(n / worth)
