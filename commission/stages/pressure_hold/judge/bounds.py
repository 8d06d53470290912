"""The leak rate of a hold with its bounds: the envelope over all the ways in which the gas may trail the air."""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen, replace
from commission.physics import detection as physics
from commission.physics.leak import leak_rate
from commission.stages.pressure_hold.judge.terms import half_width
from commission.stages.pressure_hold.judge.variants import Variant, best_variant

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.fit import HoldLine
    from commission.stages.pressure_hold.judge.part import Part
    from commission.stages.pressure_hold.model import HoldSetup

MUCH_GONE = 0.1
"""Share of the start pressure below which the viscous time is as good as the clock [1]; our choice: a tenth gone
slows a viscous leak by about a tenth, little beside its bounds."""


def rate(drop_pa: float, line: HoldLine, setup: HoldSetup) -> float:
    """Return the leak rate at the start pressure that makes a drop over the judged part.

    Parameters
    ----------
    drop_pa
        Fall of the compensated pressure [Pa].

    Returns
    -------
    float
        Leak rate [Pa·m3/s].

    Notes
    -----
    In viscous time.

    Source: ``physics.leak.leak_rate``.
    """
    return leak_rate(setup.volume_m3, drop_pa, line.span_s)


class Band(Frozen):
    """Leak rate with one-sided bounds of one level."""

    value: float
    """Estimate of the variant that fits best [Pa·m3/s]."""
    lower: float
    """Lower bound [Pa·m3/s]."""
    upper: float
    """Upper bound [Pa·m3/s]."""


def band(part: Part, fitted: list[Variant], level: float, *, tail_pa: float = 0.0) -> Band:
    """Return the leak rate with the bounds that every variant respects.

    Parameters
    ----------
    level
        Probability with which each bound holds, above 0.5 and below 1 [1].
    tail_pa
        What was left of the settling at the start of the judged part; positive for a falling tail [Pa].

    Raises
    ------
    ValueError
        If there is no variant or the level is out of range.

    Notes
    -----
    The largest of the upper and the smallest of the lower bounds. A falling tail can only look like a leak, so it
    weakens the lower bound; a rising one hides a leak and weakens the upper. Where much of the gas is gone the little
    that is left decides how fast it went, so an error at the end changes the viscous time as well.
    """
    setup = part.setup
    steps = part.seen.display_range_pa / setup.gauge_step_pa if setup.gauge_step_pa > 0 else math.inf
    best = best_variant(fitted).line
    uppers, lowers = [], []
    for one in fitted:
        line = one.line
        more = half_width(line, one.parts, level, lower=False) + max(-tail_pa, 0.0) * line.swing_factor
        less = half_width(line, one.parts, level, lower=True, display_steps=steps)
        less += max(tail_pa, 0.0) * line.swing_factor
        shrunk, stretched = _viscous_ratios(part, one, level)
        uppers.append(rate(line.drop_pa + more, line, setup) / shrunk)
        lowers.append(rate(line.drop_pa - less, line, setup) / stretched)
    return Band(value=rate(best.drop_pa, best, setup), lower=min(lowers), upper=max(uppers))


def _viscous_ratios(part: Part, one: Variant, level: float) -> tuple[float, float]:
    """Return the factors on the viscous time for an end that was read too high and too low."""
    line, parts = one.line, one.parts
    if line.drop_pa < MUCH_GONE * line.start_gauge_pa:
        return 1.0, 1.0
    error = NormalDist().inv_cdf(level) * parts.fixed_pa() + parts.room_pa + parts.weather_pa
    return min(part.viscous_ratio(-error), 1.0), max(part.viscous_ratio(error), 1.0)


def fixed_width_pa(fitted: list[Variant], level: float = 0.95) -> float:
    """Return the half-width that the drop of a tight loop would have.

    Parameters
    ----------
    level
        Probability with which the bounds hold, above 0.5 and below 1 [1].

    Returns
    -------
    float
        Half-width of the bounds without what grows with the drop [Pa].

    Notes
    -----
    Half of the spread between the gas paths is part of it.
    """
    drops = [one.line.drop_pa for one in fitted]
    still = [replace(one.parts, gain_pa=0.0, volume_ratio=0.0) for one in fitted]
    widths = [half_width(one.line, parts, level, lower=False) for one, parts in zip(fitted, still, strict=True)]
    return max(widths) + (max(drops) - min(drops)) / 2


def smallest_detectable(part: Part, fitted: list[Variant]) -> float | None:
    """Return the smallest leak rate that this hold would find, missing it in 5 % at most.

    Returns
    -------
    float or None
        Leak rate [Pa·m3/s]; None where the volume is so badly known that no leak would be found.

    Notes
    -----
    From the half-widths of a tight loop at the level of the first look and at 95 %.

    Source: ``physics.detection.smallest_detectable``.
    """
    first = fitted[0]
    growth = 1.645 * math.hypot(first.parts.volume_ratio, part.setup.gauge_gain_u)
    if growth >= 1:
        return None
    alarm, miss = fixed_width_pa(fitted, level_of_look(1)), fixed_width_pa(fitted)
    return physics.smallest_detectable(alarm, miss, part.setup.volume_m3, first.line.span_s, growth=growth)


RISK = 0.05
"""Risk that all looks at one hold together may spend on a wrong bound [1]; our choice, as for the bounds."""


def level_of_look(look: int) -> float:
    """Return the probability with which each bound holds at a look.

    Parameters
    ----------
    look
        Which look at an end of this hold, from 1 [1].

    Returns
    -------
    float
        1 − 0.05/2^look [1]: 97.5 % at the first look.

    Raises
    ------
    ValueError
        If look is below 1.

    Notes
    -----
    However often a hold is extended, the risks of all looks add up to less than 5 %, by the union bound; with
    0.05/look five looks would spend 11 %.

    Examples
    --------
    >>> level_of_look(1), level_of_look(2)
    (0.975, 0.9875)
    """
    if look < 1:
        raise ValueError("look must be 1 or more")
    return 1 - RISK * 0.5 ** min(look, 40)
