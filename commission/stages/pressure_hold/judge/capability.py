"""What a set-up can decide, worked out before the hold is started."""

from __future__ import annotations

import math

from commission.base.frozen import Frozen, replace
from commission.base.quantity import Amount, Phrase, Quantity
from commission.physics.detection import (
    hold_time_by_steps,
    planned_slope_error,
    rectangular_uncertainty,
    smallest_detectable,
)
from commission.physics.gas import STANDARD_ATMOSPHERE_PA, absolute_pressure, pressure_sensitivity
from commission.physics.leak import leak_rate, viscous_pressure
from commission.stages.pressure_hold.judge.beyond import limit_in_test
from commission.stages.pressure_hold.judge.bounds import level_of_look
from commission.stages.pressure_hold.judge.fit import REPEATABILITY_STEPS, HoldLine
from commission.stages.pressure_hold.judge.needed import shortest_hold
from commission.stages.pressure_hold.judge.reasons import shares
from commission.stages.pressure_hold.judge.series import SPARSE_AIR_S
from commission.stages.pressure_hold.judge.terms import TRACKING_K, UNSEEN_ROOM, Terms, half_width, weather_swing_pa
from commission.stages.pressure_hold.model import Capability, HoldSetup

ENDS_FACTOR = 1.14
"""Effect of an unseen wander on a line through both ends [1]. Source: algebra, 1/(1 − 1/8), see the tests."""
EXPECTED_SCATTER = 0.3
"""Scatter of a drop fitted through many readings, in steps of the displays together [1]; our choice: what simulated
benches give in the middle."""
EXPECTED_DRIFT = 0.25
"""Share of the room's swing by which a usual room moves in a hold [1]; our choice: a room that wanders its whole
swing in a hold is rare."""
SHORTEST_S = 60.0
"""No shorter hold is recommended [s]; our choice: below a minute nobody reads a gauge twice."""
RATIO_RESOLUTION = 10.0
"""How much finer than the permitted drop the display must be [1]. Source: ASTM E2930-13(R2021), 5.1, as read in
excerpts."""
RATIO_ACCURACY = 4.0
"""How much better than the permitted drop the accuracy must be [1]. Source: ASTM E2930-13(R2021), 5.1, as read in
excerpts."""
Z95 = 1.6448536269514722
"""One-sided 95 % normal quantile [1]. Source: the normal distribution, as tabulated in JCGM 100:2008, table G.1
(1.645 for 90 % two-sided)."""


class _Plan(Frozen):
    """What a hold is expected to be."""

    setup: HoldSetup
    start_gauge_pa: float
    every_s: float

    def readings(self, hold_s: float) -> int:
        """Return how many readings there will be."""
        return max(2, int(hold_s / self.every_s) + 1)

    def sparse_factor(self, hold_s: float) -> float:
        """Return the error of a drop fitted through n equal readings, over that of two."""
        return planned_slope_error(math.sqrt(0.5), self.readings(hold_s), 1.0)

    @property
    def start_pa(self) -> float:
        """Absolute pressure at the start where the barometer shows the standard atmosphere [Pa]."""
        return absolute_pressure(self.start_gauge_pa, STANDARD_ATMOSPHERE_PA)

    @property
    def per_k(self) -> float:
        """Change of pressure with temperature [Pa/K]."""
        return pressure_sensitivity(self.start_pa, self.setup.reference_k)

    def line(self, hold_s: float) -> HoldLine:
        """Return the line with the scatter that a usual hold will have."""
        setup, factor = self.setup, self.sparse_factor(hold_s)
        weather = 0.0 if setup.absolute else setup.barometer_step_pa
        air_pa = self.per_k * (setup.air_step_k or 0.0)
        displays = math.sqrt(setup.gauge_step_pa**2 + air_pa**2 + (weather or 0.0) ** 2)
        single = math.sqrt(2) * REPEATABILITY_STEPS * setup.gauge_step_pa * factor
        return HoldLine(
            drop_pa=0.0,
            s_drop_pa=max(EXPECTED_SCATTER * displays, single),
            dof=math.inf,
            span_s=hold_s,
            start_pa=self.start_pa,
            start_gauge_pa=self.start_gauge_pa,
            swing_factor=ENDS_FACTOR if setup.air_step_k is None or weather is None else 1.5,
            air_factor=factor,
            steps_dominate=True,
            rest_pa=0.0,
            points=self.readings(hold_s),
        )

    def terms(self, hold_s: float) -> Terms:
        """Return the terms of a loop that does not leak."""
        setup, air = self.setup, self.setup.air_step_k
        weather = 0.0 if setup.absolute else setup.barometer_step_pa
        per_k = self.per_k
        swing = weather_swing_pa(hold_s) if setup.barometer_swing_pa is None else setup.barometer_swing_pa
        unseen = 0.0
        if air is not None and self.every_s > SPARSE_AIR_S and setup.gas_lag_s > 0:
            share = min(min(self.every_s, hold_s) / setup.gas_lag_s, 1.0)
            unseen = UNSEEN_ROOM * setup.room_swing_k * share * self.sparse_factor(hold_s)
        return Terms(
            resolution_pa=rectangular_uncertainty(setup.gauge_step_pa),
            thermometer_pa=0.0 if air is None else per_k * math.sqrt(air**2 / 3 + 2 * TRACKING_K**2),
            barometer_pa=rectangular_uncertainty(weather or 0.0),
            unseen_air_pa=unseen * per_k,
            gain_pa=0.0,
            volume_ratio=0.0,
            room_pa=per_k * setup.room_swing_k if air is None else 0.0,
            weather_pa=swing if weather is None else 0.0,
            needle_pa=setup.needle_pa,
        )

    def spread_pa(self, hold_s: float) -> float:
        """Return half of the spread between the gas paths in a usual room."""
        setup = self.setup
        if setup.air_step_k is None:
            return 0.0
        return EXPECTED_DRIFT * setup.room_swing_k * min(setup.gas_lag_s / hold_s, 1.0) * self.per_k / 2

    def passes(self, hold_s: float, limit_pa_m3_s: float) -> bool:
        """Return whether the upper bound of a loop that does not leak, and shows no fall, lies within a limit."""
        width = half_width(self.line(hold_s), self.terms(hold_s), level_of_look(1), lower=False)
        return leak_rate(self.setup.volume_m3, width + self.spread_pa(hold_s), hold_s) <= limit_pa_m3_s

    def smallest(self, hold_s: float) -> float:
        """Return the smallest leak rate found in a time, infinite where the volume is too badly known."""
        setup = self.setup
        line, parts = self.line(hold_s), self.terms(hold_s)
        # found at the level of the first look, missed in 5 %
        alarm, miss = (
            half_width(line, parts, level, lower=False) + self.spread_pa(hold_s) for level in (level_of_look(1), 0.95)
        )
        growth = Z95 * math.hypot(setup.u_volume_m3 / setup.volume_m3, setup.gauge_gain_u)
        if growth >= 1:
            return math.inf
        return smallest_detectable(alarm, miss, setup.volume_m3, hold_s, growth=growth)


def hold_capability(setup: HoldSetup, *, start_gauge_pa: float, hold_s: float, every_s: float = 60.0) -> Capability:
    """Say what a set-up can decide in a planned time.

    Parameters
    ----------
    start_gauge_pa
        Gauge pressure at the start, above 0 [Pa].
    hold_s
        Planned length of the hold, above 0 [s].
    every_s
        Time from one reading to the next; the length of the hold for start and end only, above 0 [s].

    Returns
    -------
    Capability
        Smallest detectable leak rate, the time that the limit needs, and what governs both.

    Raises
    ------
    ValueError
        If pressure, time, volume, limit or gauge step is not positive.

    Notes
    -----
    The same terms as the verdict, with the scatter and the drift of a usual bench; a restless room needs longer.

    Source: L. A. Currie 1968 (from memory); ratio rules of ASTM E2930-13(R2021), 5.1, as read in excerpts.

    Examples
    --------
    A 10 mbar dial cannot decide 1e-2 mbar·L/s in 2 L within 20 min, when only 6 mbar may be lost.

    >>> setup = HoldSetup(volume_m3=2e-3, u_volume_m3=5e-5, limit_pa_m3_s=1e-3, gauge_step_pa=1000, air_step_k=0.1,
    ...     barometer_step_pa=10)
    >>> found = hold_capability(setup, start_gauge_pa=50000, hold_s=1200)
    >>> found.can_decide, round(found.expected_drop_pa / 100)
    (False, 6)
    """
    if not min(start_gauge_pa, hold_s, every_s, setup.volume_m3, setup.limit_pa_m3_s, setup.gauge_step_pa) > 0:
        raise ValueError("pressure, times, volume, limit and gauge step must be above 0")
    plan = _Plan(setup=setup, start_gauge_pa=start_gauge_pa, every_s=every_s)
    limit = limit_in_test(setup.limit_pa_m3_s, start_gauge_pa)
    smallest = plan.smallest(hold_s)
    needed = shortest_hold(lambda length: plan.smallest(length) <= limit, SHORTEST_S)
    start = plan.start_pa
    drop = start - viscous_pressure(start, STANDARD_ATMOSPHERE_PA, limit, setup.volume_m3, hold_s)
    return Capability(
        smallest_detectable=smallest,
        hold_needed_s=needed,
        pass_s=shortest_hold(lambda length: plan.passes(length, limit), SHORTEST_S),
        can_decide=smallest <= limit,
        expected_drop_pa=drop,
        reasons=tuple(_governing(plan, hold_s, drop) + _missed(plan, hold_s, drop, needed)),
    )


def _governing(plan: _Plan, hold_s: float, drop_pa: float) -> list[Phrase]:
    """Name the two largest shares, and what would help."""
    setup = plan.setup
    parts = replace(plan.terms(hold_s), volume_ratio=setup.u_volume_m3 / setup.volume_m3)
    ranked = shares(replace(plan.line(hold_s), drop_pa=drop_pa), parts, plan.spread_pa(hold_s))
    return [
        Phrase(
            f"governed_by_{code}",
            words[0].upper() + words[1:].replace(";", " (± {0});", 1) + ".",
            (Amount(Quantity.PRESSURE_DIFFERENCE, float(f"{size:.2g}")),),
        )
        for size, code, words in ranked[:2]
        if size > 0
    ]


def _missed(plan: _Plan, hold_s: float, drop_pa: float, needed: float | None) -> list[Phrase]:
    """Say which published ratio is missed, and whether any time would do."""
    setup, drop = plan.setup, Amount(Quantity.PRESSURE_DIFFERENCE, drop_pa)
    said = []
    if needed is None:
        said.append(Phrase("never_long_enough", "No hold within two days finds a leak of the limit with this set-up."))
    step = setup.gauge_step_pa
    if drop_pa < RATIO_RESOLUTION * step:
        wanted = hold_time_by_steps(step, setup.volume_m3, setup.limit_pa_m3_s, RATIO_RESOLUTION)
        said.append(
            Phrase(
                "resolution_ratio_missed",
                ("A leak of the limit moves the display by {0}, less than ten steps of {1}. Ten take {2}."),
                (drop, Amount(Quantity.PRESSURE_DIFFERENCE, step), Amount(Quantity.DURATION, wanted)),
            )
        )
    if drop_pa < RATIO_ACCURACY * half_width(plan.line(hold_s), plan.terms(hold_s), 0.95, lower=False):
        said.append(
            Phrase(
                "accuracy_ratio_missed",
                "A leak of the limit makes {0}, less than four times what the instruments leave open.",
                (drop,),
            )
        )
    return said
