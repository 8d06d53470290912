"""How long a hold must last before it decides."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from commission.physics.leak import leak_rate
from commission.stages.pressure_hold.judge.bounds import fixed_width_pa
from commission.stages.pressure_hold.judge.terms import STATED_DOF, weather_swing_pa
from commission.statistics.drop_width import t_quantile

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.part import Part
    from commission.stages.pressure_hold.judge.variants import Variant

LONGEST_S = 172800.0
"""No hold longer than two days is recommended [s]; our choice: beyond two days a finer gauge is the answer."""


def shortest_hold(decides: Callable[[float], bool], from_s: float) -> float | None:
    """Return the shortest hold that decides, to 1 %.

    Parameters
    ----------
    decides
        Whether a hold of a given length [s] decides; once true it stays true.
    from_s
        Length from which on to look, above 0 [s].

    Returns
    -------
    float or None
        Length [s]; None where even two days do not decide.

    Raises
    ------
    ValueError
        If from_s is not positive.

    Examples
    --------
    >>> round(shortest_hold(lambda length: length >= 5000, 600) / 50) * 50
    5000
    >>> shortest_hold(lambda length: False, 600) is None
    True
    """
    if not from_s > 0:
        raise ValueError("the length to start from must be above 0")
    high = from_s
    while not decides(high):
        if high >= LONGEST_S:
            return None
        high = min(2 * high, LONGEST_S)
    low = max(high / 2, from_s) if high > from_s else from_s
    while high / low > 1.01:
        middle = math.sqrt(low * high)
        low, high = (low, middle) if decides(middle) else (middle, high)
    return high


def viscous_span(hold_s: float, share_per_s: float) -> float:
    """Return the viscous time of a hold during which the gauge pressure decays.

    Parameters
    ----------
    hold_s
        Length of the hold, 0 or more [s].
    share_per_s
        Share of the driving pressure that is lost in a second at the start, 0 or more [1/s].

    Returns
    -------
    float
        Viscous time [s].

    Notes
    -----
    Exponential decay of the drive; enough for a recommendation.

    Examples
    --------
    >>> viscous_span(3600, 0.0)
    3600
    """
    lost = share_per_s * hold_s
    return hold_s if lost < 1e-9 else hold_s * -math.expm1(-lost) / lost


def needed_s(part: Part, fitted: list[Variant], rate_pa_m3_s: float, level: float) -> float | None:
    """Return the length of hold that would decide at the present estimate.

    Parameters
    ----------
    rate_pa_m3_s
        The estimate [Pa·m3/s].
    level
        Probability with which the bounds will be asked to hold, above 0.5 and below 1 [1].

    Returns
    -------
    float or None
        Length [s]; None where the estimate is too near the limit or it would take more than two days.

    Notes
    -----
    What does not grow with the drop stays as wide as it is, though scatter would shrink; the barometer that nobody
    read wanders further.
    """
    setup, line = part.setup, fitted[0].line
    width = fixed_width_pa(fitted, level)
    weather = fitted[0].parts.weather_pa
    unread = weather > 0 and setup.barometer_swing_pa is None
    gap = abs(setup.limit_pa_m3_s - rate_pa_m3_s) * 0.95
    growth = (
        t_quantile(level, STATED_DOF) * math.hypot(fitted[0].parts.volume_ratio, setup.gauge_gain_u) * abs(rate_pa_m3_s)
    )
    share = max(rate_pa_m3_s, 0.0) / (setup.volume_m3 * max(line.start_gauge_pa, 1.0))

    def decides(length: float) -> bool:
        more = line.swing_factor * (weather_swing_pa(length) - weather) if unread else 0.0
        fixed = leak_rate(setup.volume_m3, width + more, viscous_span(length, share))
        return math.hypot(fixed, growth) <= gap

    return shortest_hold(decides, max(1.1 * part.span_s, 60.0))
