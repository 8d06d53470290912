"""What is shown beside the verdict and never decides: the picture, and what simpler rules of other trades would say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.curve import Curve
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome, PlainRule
from commission.physics.leak import leak_drop, leak_rate
from commission.stages.pressure_hold.model import HoldPicture, LeakRate

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.part import Part
    from commission.stages.pressure_hold.judge.series import Columns, Floats
    from commission.stages.pressure_hold.judge.variants import Variant
    from commission.stages.pressure_hold.model import HoldSetup

MOST_POINTS = 600
"""Readings drawn at most [1]; our choice: more than a terminal has dots across."""
CURVE_POINTS = 40
"""Points of each curve [1]; our choice: smooth at the width of a terminal."""


def thinned(elapsed_s: Floats, values: Floats, most: int) -> Curve:
    """Thin points so that the extremes stay.

    Parameters
    ----------
    elapsed_s
        Times, increasing, shape (m,) [s].
    values
        Values, shape (m,) [Pa].
    most
        How many points may stay, 2 or more [1].

    Returns
    -------
    Curve
        All points where they are few, else the lowest and highest of each of most/2 stretches, in order of time.

    Raises
    ------
    ValueError
        If there is no point.

    Examples
    --------
    >>> import numpy as np
    >>> thinned(np.arange(6.0), np.array([0.0, 9.0, 1.0, 5.0, -3.0, 5.0]), 4).pressure_pa
    (0.0, 9.0, 5.0, -3.0)
    """
    import numpy as np

    keep = np.arange(elapsed_s.size)
    if elapsed_s.size > most:
        edges = np.linspace(0, elapsed_s.size, most // 2 + 1).astype(int)
        picked = set()
        for first, last in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
            part = values[first:last]
            picked |= {first + int(part.argmin()), first + int(part.argmax())}
        keep = np.array(sorted(picked))
    return Curve(elapsed_s=tuple(elapsed_s[keep].tolist()), pressure_pa=tuple(values[keep].tolist()))


def picture(part: Part, middle: Variant, found: LeakRate, limit_pa_m3_s: float) -> HoldPicture:
    """Collect what a plot needs.

    Parameters
    ----------
    found
        Leak rate; the bounds by which it was decided are drawn [Pa·m3/s].
    limit_pa_m3_s
        The limit [Pa·m3/s].

    Returns
    -------
    HoldPicture
        All relative to the start of the fitted line.

    Raises
    ------
    ValueError
        If there is no point.

    Notes
    -----
    The curves fall with viscous time, so they bend where much of the gas is gone.
    """
    import numpy as np

    times = part.seen.elapsed_s[part.begin : part.end]
    at = np.linspace(float(times[0]), float(times[-1]), CURVE_POINTS)
    span = float(part.viscous_s[-1])
    viscous = np.interp(at, times, part.viscous_s) * (middle.line.span_s / span if span > 0 else 1.0)
    volume = part.setup.volume_m3

    def fall(rate: float) -> Curve:
        return Curve(elapsed_s=tuple(at.tolist()), pressure_pa=tuple((0.0 - leak_drop(rate, volume, viscous)).tolist()))

    return HoldPicture(
        points=thinned(part.seen.elapsed_s, middle.compensated_pa - middle.line.start_pa, MOST_POINTS),
        fit=fall(found.value),
        low=fall(found.at_most),
        high=fall(found.at_least),
        limit=fall(limit_pa_m3_s),
    )


def plain_rules(seen: Columns, setup: HoldSetup) -> tuple[PlainRule, ...]:
    """Judge the raw gauge by two rules that know no temperature, barometer or statistics.

    Returns
    -------
    tuple
        The fixed drop, and the display that did not move.

    Notes
    -----
    Fixed drop: the limit over the whole hold as a fall of the raw gauge, first reading against last. No visible drop:
    the display shows the same at both ends.

    Source: kinds of acceptance criteria in gas, refrigeration and heating trades.

    Examples
    --------
    >>> from commission.stages.pressure_hold.model import HoldSeries, HoldSetup
    >>> from commission.stages.pressure_hold.judge.series import columns
    >>> nan = float("nan")
    >>> setup = HoldSetup(volume_m3=0.001, u_volume_m3=0, limit_pa_m3_s=1e-4, gauge_step_pa=100)
    >>> read = HoldSeries(elapsed_s=[0, 3600], pressure_pa=[50000, 49800], air_k=[nan, nan], barometer_pa=[nan, nan])
    >>> [str(rule.outcome) for rule in plain_rules(columns(read, setup), setup)]
    ['pass', 'fail']
    """
    pressure = seen.absolute_pa if setup.absolute else seen.gauge_pa
    drop = float(pressure[0] - pressure[-1])
    allowed = leak_drop(setup.limit_pa_m3_s, setup.volume_m3, seen.span_s)
    still = abs(drop) < setup.gauge_step_pa / 2 or drop < 0
    hidden = leak_rate(setup.volume_m3, setup.gauge_step_pa, seen.span_s)
    return (
        PlainRule(
            name="fixed drop",
            outcome=Outcome.PASS if drop <= allowed else Outcome.FAIL,
            why=Phrase(
                "blind_to_temperature_and_barometer",
                (
                    "The raw gauge fell by {0}, allowed {1}. Ignores temperature, weather and "
                    "resolution: a cooling room fails a tight loop, a warming one hides a leak."
                ),
                (Amount(Quantity.PRESSURE_DIFFERENCE, drop), Amount(Quantity.PRESSURE_DIFFERENCE, allowed)),
            ),
        ),
        PlainRule(
            name="no visible drop",
            outcome=Outcome.PASS if still else Outcome.FAIL,
            why=Phrase(
                "blind_below_one_step",
                "The display fell by {0}. Blind to any leak below one step over this hold, {1}, and to temperature and "
                "barometer.",
                (Amount(Quantity.PRESSURE_DIFFERENCE, drop), Amount(Quantity.LEAK_RATE, hidden)),
            ),
        ),
    )
