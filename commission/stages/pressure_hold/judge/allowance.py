"""What a fall near the end of a hold may owe to the room, the weather and the display, and what that leaves unseen."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.physics.gas import STANDARD_ATMOSPHERE_PA, absolute_pressure, pressure_sensitivity
from commission.physics.leak import leak_drop

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.series import Columns, Floats
    from commission.stages.pressure_hold.model import HoldSetup

LOOSE_STEPS = 1.25
"""An extra fall of fewer steps is rounding and a needle's friction [1]; our choice:
lost fewest honest passes in simulated holds."""
SIGMAS = 3.0
"""An extra fall of fewer standard errors may be chance [1]. Source: J. L. Haybittle, Brit. J. Radiology 44 (1971) 793
(from memory)."""
FEW, DENSE = 8, 40
"""Below the first number the step stands in for the scatter; from the second on it
is had from the readings [1]; our choice: 8 leave 4 degrees of freedom, 40 a correlation."""
STEP_SD, LEAST_SD = 0.33, 0.1
"""Standard deviation of a reading in steps: with few readings, and the least with many [1]; our choice: rounding is
0.29 (JCGM 100:2008, F.2.2.1), and noise that dithers the display averages."""
TIMES_LIMIT = 3.0
"""The blind time is told for a leak of so many times the limit [1]; our choice: a seal that goes lets much through."""
MOST_BLOCKS = 120
"""A longer hold is averaged into this many blocks [1]; our choice: 30 s in an hour."""


class Allowance(Frozen):
    """What the surroundings may do to the pressure within a time; our choice: tuned on simulated holds."""

    per_k: float
    """Change of pressure with temperature [Pa/K]."""
    room_swing_k: float | None
    """How far the temperature may wander where no thermometer says; None with one [K]."""
    weather_seen: bool
    """Whether the barometer was read, or plays no part."""
    step_pa: float
    """One step of the gauge [Pa]."""

    def kappa_k(self, w_s: float) -> float:
        """Return by how much gas and thermometer may come apart within a time [s] -> [K]."""
        if self.room_swing_k is None:
            return 0.10 + 0.30 * min(w_s / 600, 1.0)
        return self.room_swing_k * (0.25 + 0.75 * min(w_s / 900, 1.0))

    def heat_pa(self, w_s: float) -> float:
        """Return the part of the temperature within a time [s] -> [Pa]."""
        return self.per_k * self.kappa_k(w_s)

    def weather_pa(self, w_s: float) -> float:
        """Return the part of the barometer within a time [s] -> [Pa]."""
        return 0.0 if self.weather_seen else 100.0 + 100.0 * w_s / 3600

    def critical_pa(self, w_s: float, sigma_pa: float) -> float:
        """Return the extra fall within a time [s] that is more than rounding, chance and surroundings [Pa]."""
        return max(LOOSE_STEPS * self.step_pa, SIGMAS * sigma_pa, self.heat_pa(w_s) + self.weather_pa(w_s))


def allowance_of(setup: HoldSetup, start_gauge_pa: float, seen: Columns | None = None) -> Allowance:
    """Return the allowance of a hold.

    Parameters
    ----------
    start_gauge_pa
        Gauge pressure at the start [Pa].
    seen
        The readings; None before there are any: then what the set-up has is taken to be read.

    Returns
    -------
    Allowance
        The allowance. A thermometer that was not read near the end counts as none.
    """
    air, weather = setup.air_step_k is not None, setup.barometer_step_pa is not None
    if seen is not None:
        air = seen.air_known and seen.air_outside_s <= 0.1 * seen.span_s
        weather = seen.barometer_readings >= 2
    return Allowance(
        per_k=pressure_sensitivity(absolute_pressure(start_gauge_pa, STANDARD_ATMOSPHERE_PA), setup.reference_k),
        room_swing_k=None if air else setup.room_swing_k,
        weather_seen=setup.absolute or weather,
        step_pa=setup.gauge_step_pa,
    )


def _hinge_power(times: Floats, w_s: float) -> float:
    """Return the squared norm of a hinge w_s before the end, after level and slope are taken out [s²]."""
    import numpy as np

    kink = np.maximum(times - (times[-1] - w_s), 0.0)
    off = times - times.mean()
    kink = kink - kink.mean()
    rest = kink - off * (float(off @ kink) / float(off @ off))
    return float(rest @ rest)


def blind_from(
    allow: Allowance, setup: HoldSetup, times: Floats, *, sigma_pa: float, readings: int, rate_pa_m3_s: float = 0.0
) -> float | None:
    """Return how long before the end a leak of three times the limit could begin without being seen.

    Parameters
    ----------
    times
        When the gauge was or will be read, or block means of that, increasing, shape (m,) [s].
    sigma_pa
        Standard deviation of one of these points [Pa].
    readings
        How many readings there are [1].
    rate_pa_m3_s
        Leak rate that the hold shows as a whole; below 0 counts as 0 [Pa·m3/s].

    Returns
    -------
    float or None
        Time before the end [s]; None where no late start would be seen, as with fewer than 4 readings.

    Notes
    -----
    The smallest w for which the extra fall (3·limit − rate)·w/V is twice the critical one.
    """
    if readings < 4:
        return None
    span, last = float(times[-1] - times[0]), float(times[-1] - times[-2])
    # what it adds to the fall of each second
    extra = leak_drop(TIMES_LIMIT * setup.limit_pa_m3_s - max(rate_pa_m3_s, 0.0), setup.volume_m3, 1.0)
    if extra <= 0:
        return None
    # between the last two readings one reading alone must show a rate beyond the limit
    least = 1.5 * last / (2 * TIMES_LIMIT) if readings < DENSE else 0.0
    tried = 80
    for i in range(1, tried + 1):
        w = span * 0.95 * (i / tried) ** 2
        power = _hinge_power(times, w)
        if power <= 0:
            continue
        if extra * w >= 2 * allow.critical_pa(w, sigma_pa * w / math.sqrt(power)):
            return max(w, least)
    return None


def blind_time(setup: HoldSetup, *, start_gauge_pa: float, hold_s: float, every_s: float) -> float | None:
    """Return how long before the end of a planned hold a leak of three times the limit could begin unseen.

    Parameters
    ----------
    start_gauge_pa
        Gauge pressure at the start, above 0 [Pa].
    hold_s
        Planned length of the hold, above 0 [s].
    every_s
        Time from one reading to the next, above 0; the last reading is taken at the end [s].

    Returns
    -------
    float or None
        Time before the end [s]; None where nothing guards against a leak that starts late: fewer than 4 readings, or
        a gauge so coarse that the whole hold does not show it. The last pair of readings is due this long before the
        end and at the end.

    Raises
    ------
    ValueError
        If pressure, a time, volume, limit or step is not positive.

    Notes
    -----
    The plan of a hold shows it before the hold, the verdict after it from the times that were read (`blind_from`).

    Examples
    --------
    A reading every 10 min on steps of 1 mbar, 1.2 L, 1e-2 mbar·L/s: one reading alone must fall by more than the
    limit allows in half an interval, 1.5·10 min/6.

    >>> from commission.stages.pressure_hold.model import HoldSetup
    >>> setup = HoldSetup(volume_m3=1.2e-3, u_volume_m3=6e-5, limit_pa_m3_s=1e-3, gauge_step_pa=100, air_step_k=0.1,
    ...     barometer_step_pa=10)
    >>> blind_time(setup, start_gauge_pa=50000, hold_s=3600, every_s=600)
    150.0
    """
    import numpy as np

    if not min(start_gauge_pa, hold_s, every_s, setup.volume_m3, setup.limit_pa_m3_s, setup.gauge_step_pa) > 0:
        raise ValueError("pressure, times, volume, limit and gauge step must be above 0")
    readings = round(hold_s / every_s) + 1
    times = np.linspace(0.0, hold_s, max(2, min(readings, MOST_BLOCKS)))
    return blind_from(
        allowance_of(setup, start_gauge_pa),
        setup,
        times,
        sigma_pa=STEP_SD * setup.gauge_step_pa,
        readings=readings,
    )
