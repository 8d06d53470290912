"""The leak rate of a hold with its bounds: the envelope over all the ways in which the gas may trail the air."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from commission.evaluate.drop_width import BLOCKS
from commission.evaluate.hold_fit import REPEATABILITY_STEPS, HoldLine, ends_only, hold_line, viscous_time
from commission.evaluate.hold_series import Columns, gas_temperature
from commission.evaluate.hold_terms import TRACKING_K, Terms, half_width, terms

if TYPE_CHECKING:
    from commission.domain.hold import HoldSetup
    from commission.evaluate.hold_series import Flags, Floats

PLAUSIBLE = 0.99
"""Level at which a gas path is dropped because another fits better [1]."""
UNFOLLOWED_K = 0.03
"""Slow disagreement of thermometer and gas that no path explains [K]; common practice, no source."""
MOST_WORTH = 10.0
"""So many independent block means are believed at most when paths are compared [1]."""
LAG_SHARES = (0.0, 0.1, 0.3, 0.6, 1.0)
"""Time constants that are tried, as shares of the longest believed one [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """The part of a hold that is judged, with everything the fits need."""

    seen: Columns
    """All the readings."""
    setup: HoldSetup
    """The set-up."""
    begin: int
    """First bin of the judged part."""
    end: int
    """One after its last bin."""
    used: Flags
    """Which bins of the judged part are fitted, shape (end − begin,)."""
    viscous_s: Floats
    """Viscous time in the judged part, shape (end − begin,) [s]."""

    @property
    def span_s(self) -> float:
        """Length of the judged part [s]."""
        seen = self.seen
        first = seen.first_s if self.begin == 0 else float(seen.elapsed_s[self.begin])
        last = seen.last_s if self.end == seen.elapsed_s.size else float(seen.elapsed_s[self.end - 1])
        return last - first

    @property
    def viscous_span_s(self) -> float:
        """Viscous time of the judged part, to its first and last reading [s]."""
        times = self.seen.elapsed_s[self.begin : self.end]
        whole = float(times[-1] - times[0])
        return float(self.viscous_s[-1]) * (self.span_s / whole if whole > 0 else 1.0)

    @property
    def readings(self) -> int:
        """Gauge readings in the judged part [1]."""
        seen = self.seen
        return round(seen.readings * (self.end - self.begin) / seen.elapsed_s.size)


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """One way in which the gas may have followed the air, and the line it gives."""

    lag_s: float
    """Time constant of the gas [s]."""
    gas_k: Floats
    """Temperature of the gas at all bins [K]."""
    compensated_pa: Floats
    """Compensated pressure at all bins [Pa]."""
    line: HoldLine
    """The line."""
    parts: Terms
    """Its terms."""


def compensated(seen: Columns, gas_k: Floats, setup: HoldSetup) -> Floats:
    """Return pressure referred to one temperature, P·T_ref/T, in proportion to the gas inside.

    Parameters
    ----------
    seen
        The readings, m bins [SI].
    gas_k
        Temperature of the gas, shape (m,) [K].
    setup
        The set-up with the reference temperature [SI].

    Returns
    -------
    numpy.ndarray
        Compensated pressure, shape (m,) [Pa].

    Raises
    ------
    ValueError
        If the shapes differ.

    Notes
    -----
    Ideal gas; good to 1e-4 here.

    Source: ideal gas law, as in 40 CFR 1065.644.
    """
    result: Floats = seen.absolute_pa * (setup.reference_k / gas_k)
    return result


def gas_paths(seen: Columns, setup: HoldSetup) -> list[tuple[float, Floats]]:
    """Return the temperatures that the gas may have had, with the time constant of each.

    Parameters
    ----------
    seen
        The readings, m bins [SI].
    setup
        The set-up with the longest believed time constant [SI].

    Returns
    -------
    list
        Time constant and temperatures of shape (m,) of each path [s, K].

    Raises
    ------
    IndexError
        If there is no reading.

    Notes
    -----
    For each time constant the gas begins once at the temperature of the air and once already trailing it.
    """
    paths = [(0.0, seen.air_k)]
    if not seen.air_known:
        return paths
    for share in LAG_SHARES[1:]:
        lag = share * setup.gas_lag_s
        if lag > 0:
            paths += [
                (lag, gas_temperature(seen.elapsed_s, seen.air_k, lag, ramping=ramping)) for ramping in (False, True)
            ]
    return paths


def select(seen: Columns, setup: HoldSetup, cut_s: float) -> Part:
    """Choose the readings that are fitted.

    Parameters
    ----------
    seen
        The readings [SI].
    setup
        The set-up [SI].
    cut_s
        How much is left out at the start [s].

    Returns
    -------
    Part
        The judged part; it may have fewer than 2 bins.

    Raises
    ------
    FloatingPointError
        Never by default.

    Notes
    -----
    Without a thermometer or barometer only both ends are fitted, for there the unseen wander does least. With few
    air readings only the gauge readings beside them are.
    """
    import numpy as np

    begin = int(np.searchsorted(seen.elapsed_s, seen.first_s + cut_s - 1e-9))
    end = seen.elapsed_s.size
    near = np.flatnonzero(seen.near_air[begin:])
    blind = not seen.air_known or (not setup.absolute and seen.barometer_readings < 2)
    beside = not blind and seen.air_sparse and near.size >= 2
    if beside and seen.elapsed_s[begin + near[-1]] - seen.elapsed_s[begin + near[0]] >= 0.8 * (
        seen.last_s - seen.elapsed_s[begin]
    ):
        begin, end = begin + int(near[0]), begin + int(near[-1]) + 1
    else:
        beside = False
    times = seen.elapsed_s[begin:end]
    used = np.ones(times.size, dtype=np.bool_)
    if blind and times.size:
        used = ends_only(times)
    elif beside:
        used = seen.near_air[begin:end]
    viscous = times
    if times.size >= 2:
        viscous = viscous_time(
            times, seen.absolute_pa[begin:end], seen.barometer_pa[begin:end], setup.gauge_step_pa / 2
        )
    return Part(seen=seen, setup=setup, begin=begin, end=end, used=used, viscous_s=viscous)


def _stated_pa(part: Part, per_k: float) -> float:
    """Return the standard deviation of one point that gauge and thermometer promise."""
    setup, seen = part.setup, part.seen
    air = math.hypot((setup.air_step_k or 0.0) / math.sqrt(12), TRACKING_K) if seen.air_known else 0.0
    return math.hypot(REPEATABILITY_STEPS * setup.gauge_step_pa, per_k * air if part.used.size > 2 else 0.0)


def _steps_pa(part: Part, per_k: float) -> float:
    """Return the steps of all three displays as one step of the compensated pressure."""
    setup, seen = part.setup, part.seen
    air = per_k * (setup.air_step_k or 0.0) if seen.air_known else 0.0
    weather = (setup.barometer_step_pa or 0.0) if seen.barometer_readings >= 2 and not setup.absolute else 0.0
    return math.sqrt(setup.gauge_step_pa**2 + air**2 + weather**2)


def variants(part: Part) -> list[Variant]:
    """Fit the line once for each way in which the gas may have followed the air.

    Parameters
    ----------
    part
        The judged part, at least 2 bins fitted [SI].

    Returns
    -------
    list
        One variant a gas path.

    Raises
    ------
    ValueError
        If fewer than 2 bins are fitted.

    Notes
    -----
    The thermometer lies in the air, the gas trails it by an unknown time: every path from no lag to the longest
    believed one is taken as possible, except those that bend the readings far more than the best one does.
    """
    seen, setup = part.seen, part.setup
    judged = slice(part.begin, part.end)
    found = []
    for lag, gas in gas_paths(seen, setup):
        pressure = compensated(seen, gas, setup)
        inside = gas[judged]
        line = hold_line(
            part.viscous_s[part.used],
            pressure[judged][part.used],
            span_s=part.viscous_span_s,
            step_pa=_steps_pa(part, float(pressure[part.begin] / inside[0])),
            scatter_pa=seen.scatter_pa,
            stated_pa=_stated_pa(part, float(pressure[part.begin] / inside[0])),
            to_gauge=(float(inside[0]) / setup.reference_k, float(seen.barometer_pa[part.begin])),
        )
        parts = terms(
            line,
            seen,
            setup,
            span_s=part.span_s,
            mean_k=float(inside.mean()),
            change_k=float(inside[0] - inside[-1]),
        )
        found.append(Variant(lag_s=lag, gas_k=gas, compensated_pa=pressure, line=line, parts=parts))
    return _plausible(found, setup)


def _plausible(found: list[Variant], setup: HoldSetup) -> list[Variant]:
    """Drop the gas paths that fit far worse than the best, where there are readings enough to tell."""
    from scipy.special import fdtri

    best = min((one.line for one in found), key=lambda line: line.rest_pa)
    if best.points < BLOCKS or len(found) == 1:
        return found
    per_k = best.start_pa / setup.reference_k
    least = math.hypot(
        setup.gauge_step_pa / math.sqrt(12), per_k * (setup.air_step_k or 0.0) / math.sqrt(12), per_k * UNFOLLOWED_K
    )
    count = min(best.dof + 2.0, float(best.points), MOST_WORTH)
    margin = float(fdtri(1, count - 3, PLAUSIBLE)) / count if count > 3.5 else math.inf
    most = best.rest_pa**2 + margin * max(best.rest_pa, least) ** 2
    return [one for one in found if one.line.rest_pa**2 <= most]


def rate(drop_pa: float, line: HoldLine, setup: HoldSetup) -> float:
    """Return the leak rate at the start pressure that makes a drop over the judged part.

    Parameters
    ----------
    drop_pa
        Fall of the compensated pressure [Pa].
    line
        The line whose viscous time applies [s].
    setup
        The set-up with the volume [m3].

    Returns
    -------
    float
        Leak rate [Pa·m3/s].

    Raises
    ------
    ZeroDivisionError
        If the line has no length.

    Notes
    -----
    Q = V·drop/viscous time.

    Source: ideal gas law.
    """
    return setup.volume_m3 * drop_pa / line.span_s


def best_variant(fitted: list[Variant]) -> Variant:
    """Return the variant that is reported as the estimate.

    Parameters
    ----------
    fitted
        The variants, in order of their lag.

    Returns
    -------
    Variant
        The one with the least scatter about its line if that is 5 % less than with the shortest lag, else that one.

    Raises
    ------
    IndexError
        If there is no variant.

    Notes
    -----
    The choice moves the estimate only: the bounds hold for all variants.
    """
    plain = fitted[0]
    best = min(fitted, key=lambda one: one.line.rest_pa)
    return best if best.line.rest_pa < 0.95 * plain.line.rest_pa else plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
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
    part
        The judged part [SI].
    fitted
        Its variants, at least one.
    level
        Probability with which each bound holds, above 0.5 and below 1 [1].
    tail_pa
        What was left of the settling at the start of the judged part; positive for a falling tail [Pa].

    Returns
    -------
    Band
        Estimate and bounds [Pa·m3/s].

    Raises
    ------
    ValueError
        If there is no variant or the level is out of range.

    Notes
    -----
    The largest of the upper and the smallest of the lower bounds. A falling tail can only look like a leak, so it
    weakens the lower bound; a rising one hides a leak and weakens the upper.
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
        uppers.append(rate(line.drop_pa + more, line, setup))
        lowers.append(rate(line.drop_pa - less, line, setup))
    return Band(value=rate(best.drop_pa, best, setup), lower=min(lowers), upper=max(uppers))


def fixed_width_pa(part: Part, fitted: list[Variant]) -> float:
    """Return the half-width that the drop of a tight loop would have.

    Parameters
    ----------
    part
        The judged part [SI].
    fitted
        Its variants, at least one.

    Returns
    -------
    float
        Half-width of the 95 % bounds without what grows with the drop [Pa].

    Raises
    ------
    ValueError
        If there is no variant.

    Notes
    -----
    Half of the spread between the gas paths is part of it.
    """
    drops = [one.line.drop_pa for one in fitted]
    still = [replace(one.parts, gain_pa=0.0, volume_ratio=0.0) for one in fitted]
    widths = [half_width(one.line, parts, 0.95, lower=False) for one, parts in zip(fitted, still, strict=True)]
    return max(widths) + (max(drops) - min(drops)) / 2


def smallest_detectable(part: Part, fitted: list[Variant]) -> float | None:
    """Return the smallest leak rate that this hold would find with 5 % risk either way.

    Parameters
    ----------
    part
        The judged part [SI].
    fitted
        Its variants, at least one.

    Returns
    -------
    float or None
        Leak rate [Pa·m3/s]; None where the volume is so badly known that no leak would be found.

    Raises
    ------
    ValueError
        If there is no variant.

    Notes
    -----
    With the half-width w of a tight loop: Q = 2w·V/t, and a little more for what grows with the drop.

    Source: L. A. Currie, Anal. Chem. 40 (1968) 586 (from memory); with growing uncertainty as in ISO 11929 (from
    memory).
    """
    first = fitted[0]
    growth = 1.645 * math.hypot(first.parts.volume_ratio, part.setup.gauge_gain_u)
    if growth >= 1:
        return None
    return rate(2 * fixed_width_pa(part, fitted) / (1 - growth**2), first.line, part.setup)
