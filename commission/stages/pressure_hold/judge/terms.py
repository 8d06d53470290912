"""What the instruments and the unseen room leave open about the drop of a hold, one term each."""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.physics.detection import rectangular_uncertainty
from commission.physics.gas import pressure_sensitivity
from commission.stages.pressure_hold.model import HoldSetup
from commission.statistics.drop_width import t_quantile

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.fit import HoldLine
    from commission.stages.pressure_hold.judge.series import Columns

TRACKING_K = 0.05
"""How well a thermometer beside the loop follows the gas in a still room, standard uncertainty [K]; our choice: half
a step of a thermometer in tenths."""
UNSEEN_ROOM = 0.3
"""Share of the room's swing by which gas and a seldom read thermometer disagree, standard uncertainty [1]; our
choice: rounded up from 0.28, which a swing of period 45 min and a lag of 5 min give."""
WEATHER_PA = 100.0
"""How far the barometer may wander at once [Pa]; our choice: the step of a usual barometer."""
WEATHER_PA_PER_H = 100.0
"""How much further it may wander in an hour [Pa/h]; our choice: about the tendency that weather reports call quick,
3.6 hPa in 3 h (from memory)."""
WEATHER_MOST_PA = 1500.0
"""The furthest it may wander within two days [Pa]; our choice: a deep low takes some 30 hPa with it (from memory),
half of it either way."""
WEATHER_BEND_PA_PER_H = 10.0
"""How far the barometer strays from straight between two readings an hour apart [Pa/h]; our choice: a tenth of the
slope above."""
UNKNOWN_LEVEL_PA = 6000.0
"""How far a bench may lie from the standard atmosphere, height and weather [Pa]; our choice: 500 m of height or a
strong low, either one."""
STATED_DOF = 30.0
"""Degrees of freedom of a stated uncertainty that is itself good to 13 % [1]. Source: JCGM 100:2008, G.4.2."""
SINGLE_STEP_FACTOR = 1.5
"""A line through a display that moved once can be wrong by this many steps [1]. Source: least squares."""


class Terms(Frozen):
    """Standard uncertainties of the drop, and the bounded wanders that are added on top."""

    resolution_pa: float
    """Steps of the gauge [Pa]."""
    thermometer_pa: float
    """Steps of the thermometer and how well it tracks the gas [Pa]."""
    barometer_pa: float
    """Steps of the barometer and what happens between its readings [Pa]."""
    unseen_air_pa: float
    """Swing of the air between readings that are far apart [Pa]."""
    gain_pa: float
    """Scale of the gauge, on the change that it showed [Pa]."""
    volume_ratio: float
    """Relative standard uncertainty of the volume [1]."""
    room_pa: float
    """Bounded: wander of the temperature where nobody read it, from lowest to highest [Pa]."""
    weather_pa: float
    """Bounded: wander of the barometer where nobody read it, from lowest to highest [Pa]."""
    needle_pa: float = 0.0
    """Bounded: what an untapped needle may hide of a fall, one division [Pa]."""

    def fixed_pa(self) -> float:
        """Return the terms that do not depend on the drop, as one standard uncertainty [Pa]."""
        return math.sqrt(self.resolution_pa**2 + self.thermometer_pa**2 + self.barometer_pa**2 + self.unseen_air_pa**2)


def weather_swing_pa(hold_s: float) -> float:
    """Return how far the barometer may wander in a time without anybody reading it.

    Parameters
    ----------
    hold_s
        Time, 0 or more [s].

    Returns
    -------
    float
        From lowest to highest [Pa].

    Raises
    ------
    ValueError
        If the time is negative.

    Notes
    -----
    1 mbar and 1 mbar/h, at most 15 mbar. Common practice, no source.

    Examples
    --------
    >>> weather_swing_pa(3600), weather_swing_pa(86400)
    (200.0, 1500.0)
    """
    if hold_s < 0:
        raise ValueError("a time cannot be negative")
    return min(WEATHER_PA + WEATHER_PA_PER_H * hold_s / 3600, WEATHER_MOST_PA)


def _weather(seen: Columns, setup: HoldSetup, span_s: float) -> tuple[float, float]:
    """Return the barometer's standard uncertainty and its bounded wander [Pa]."""
    if setup.absolute:
        return 0.0, 0.0
    if seen.barometer_readings < 2:
        swing = setup.barometer_swing_pa
        return 0.0, weather_swing_pa(span_s) if swing is None else swing
    step = setup.barometer_step_pa or 0.0
    bend = WEATHER_BEND_PA_PER_H * min(seen.barometer_gap_s / 3600, 10.0)
    unread = seen.barometer_outside_s
    return math.hypot(
        rectangular_uncertainty(step), bend
    ), WEATHER_PA_PER_H * unread / 3600 if unread > 0.1 * span_s else 0.0


def terms(line: HoldLine, seen: Columns, setup: HoldSetup, *, span_s: float, mean_k: float, change_k: float) -> Terms:
    """Collect the terms of one hold.

    Parameters
    ----------
    span_s
        Length of the judged part [s].
    mean_k
        Mean temperature of the gas [K].
    change_k
        Change of the gas temperature over the judged part [K].

    Notes
    -----
    The thermometer's terms do not fall with the number of readings: it lies at one place, and that place errs in the
    same way all the time.

    Source: ``physics.detection`` for steps, ``physics.gas`` for the sensitivity P/T.
    """
    per_k = pressure_sensitivity(line.start_pa, mean_k)
    scale = setup.reference_k / mean_k
    barometer, weather = _weather(seen, setup, span_s)
    thermometer, unseen, room = 0.0, 0.0, setup.room_swing_k
    if seen.air_known:
        thermometer = math.sqrt((setup.air_step_k or 0.0) ** 2 / 3 + 2 * TRACKING_K**2)
        share = min(seen.air_gap_s / setup.gas_lag_s, 1.0) if seen.air_sparse and setup.gas_lag_s > 0 else 0.0
        unseen = UNSEEN_ROOM * setup.room_swing_k * share * line.air_factor
        unread = seen.air_outside_s
        room = setup.room_swing_k * min(unread / 3600, 1.0) if unread > 0.1 * span_s else 0.0
    level = rectangular_uncertainty(UNKNOWN_LEVEL_PA) if not setup.absolute and seen.barometer_readings == 0 else 0.0
    shown = line.drop_pa + per_k * change_k
    return Terms(
        resolution_pa=rectangular_uncertainty(scale * setup.gauge_step_pa),
        thermometer_pa=thermometer * per_k,
        barometer_pa=scale * math.hypot(barometer, level * change_k / mean_k),
        unseen_air_pa=unseen * per_k,
        gain_pa=setup.gauge_gain_u * abs(line.drop_pa if setup.absolute else shown),
        volume_ratio=setup.u_volume_m3 / setup.volume_m3,
        room_pa=room * per_k,
        weather_pa=scale * weather,
        needle_pa=scale * setup.needle_pa,
    )


def half_width(line: HoldLine, parts: Terms, level: float, *, lower: bool, display_steps: float = math.inf) -> float:
    """Return the half-width of one bound of the drop.

    Parameters
    ----------
    level
        Probability with which the bound holds, above 0.5 and below 1 [1].
    lower
        Whether it is the lower bound [true or false].
    display_steps
        How many steps the display moved; few of them weaken the lower bound [1].

    Returns
    -------
    float
        Half-width, 0 or more [Pa].

    Raises
    ------
    ValueError
        If the level is out of range.

    Notes
    -----
    Scatter with Student's t, the stated uncertainties of volume and gauge scale with t for 30 degrees of freedom, the
    other terms with the normal quantile, in quadrature; bounded wanders are added with
    the largest effect that a path of that height can have on the line. Where rounding rules and the display moved at
    most three steps, the line can be wrong by 1.5 steps: the lower bound allows for that. A needle that is not tapped
    lags by half a division: pumped up from below it starts low and later reads high, so it hides up to one division of
    a fall, which is added to the upper bound as it is.
    """
    z = NormalDist().inv_cdf(level)
    resolution = z * parts.resolution_pa
    if lower and line.steps_dominate and display_steps <= 3.5:
        resolution = max(resolution, SINGLE_STEP_FACTOR * math.sqrt(3) * parts.resolution_pa)
    quadrature = math.sqrt(
        (t_quantile(level, line.dof) * line.s_drop_pa) ** 2
        + resolution**2
        + z**2 * (parts.thermometer_pa**2 + parts.barometer_pa**2 + parts.unseen_air_pa**2)
        + t_quantile(level, STATED_DOF) ** 2 * (parts.gain_pa**2 + (parts.volume_ratio * line.drop_pa) ** 2)
    )
    hidden = 0.0 if lower else parts.needle_pa
    return quadrature + line.swing_factor * (parts.room_pa + parts.weather_pa) + hidden
