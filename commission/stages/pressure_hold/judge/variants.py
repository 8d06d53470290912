"""The line of a hold, once for each way in which the gas may have followed the air."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.physics.detection import resolution_uncertainty
from commission.physics.gas import compensated_pressure, pressure_sensitivity
from commission.stages.pressure_hold.judge.fit import REPEATABILITY_STEPS, HoldLine, hold_line
from commission.stages.pressure_hold.judge.series import gas_temperature
from commission.stages.pressure_hold.judge.terms import TRACKING_K, Terms, terms
from commission.statistics.drop_width import BLOCKS

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.part import Part
    from commission.stages.pressure_hold.judge.series import Columns, Floats
    from commission.stages.pressure_hold.model import HoldSetup

PLAUSIBLE = 0.99
"""Level at which a gas path is dropped because another fits better [1]; our choice: a path is dropped only against
one to a hundred."""
UNFOLLOWED_K = 0.03
"""Slow disagreement of thermometer and gas that no path explains [K]; our choice: a third of a step of a thermometer
in tenths."""
MOST_WORTH = 10.0
"""So many independent block means are believed at most when paths are compared [1]; our choice: neighbouring blocks
share their weather."""
LAG_SHARES = (0.0, 0.1, 0.3, 0.6, 1.0)
"""Time constants that are tried, as shares of the longest believed one [1]; our choice: finer ones change no verdict
of the simulated benches."""


class Variant(Frozen):
    """One way in which the gas may have followed the air, and the line it gives."""

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
    gas_k
        Temperature of the gas, shape (m,) [K].

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
    Source: ``physics.gas.compensated_pressure``.
    """
    return compensated_pressure(seen.absolute_pa, gas_k, setup.reference_k)


def gas_paths(seen: Columns, setup: HoldSetup) -> list[Floats]:
    """Return the temperatures that the gas may have had.

    Parameters
    ----------
    setup
        The set-up with the longest believed time constant [SI].

    Returns
    -------
    list
        Temperatures of shape (m,) of each path [K].

    Notes
    -----
    For each time constant the gas begins once at the temperature of the air and once already trailing it.
    """
    paths = [seen.air_k]
    if not seen.air_known:
        return paths
    for share in LAG_SHARES[1:]:
        lag = share * setup.gas_lag_s
        if lag > 0:
            paths += [gas_temperature(seen.elapsed_s, seen.air_k, lag, ramping=ramping) for ramping in (False, True)]
    return paths


def _stated_pa(part: Part, per_k: float) -> float:
    """Return the standard deviation of one point that gauge and thermometer promise."""
    setup, seen = part.setup, part.seen
    air = math.hypot(resolution_uncertainty(setup.air_step_k or 0.0), TRACKING_K) if seen.air_known else 0.0
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
    for gas in gas_paths(seen, setup):
        pressure = compensated(seen, gas, setup)
        inside = gas[judged]
        per_k = pressure_sensitivity(float(pressure[part.begin]), float(inside[0]))
        line = hold_line(
            part.viscous_s[part.used],
            pressure[judged][part.used],
            span_s=part.viscous_span_s,
            step_pa=_steps_pa(part, per_k),
            scatter_pa=seen.scatter_pa,
            stated_pa=_stated_pa(part, per_k),
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
        found.append(Variant(gas_k=gas, compensated_pa=pressure, line=line, parts=parts))
    return _plausible(found, setup)


def _plausible(found: list[Variant], setup: HoldSetup) -> list[Variant]:
    """Drop the gas paths that fit far worse than the best, where there are readings enough to tell."""
    from scipy.special import fdtri

    best = min((one.line for one in found), key=lambda line: line.rest_pa)
    if best.points < BLOCKS or len(found) == 1:
        return found
    per_k = pressure_sensitivity(best.start_pa, setup.reference_k)
    least = math.hypot(
        resolution_uncertainty(setup.gauge_step_pa),
        resolution_uncertainty(per_k * (setup.air_step_k or 0.0)),
        per_k * UNFOLLOWED_K,
    )
    count = min(best.dof + 2.0, float(best.points), MOST_WORTH)
    margin = float(fdtri(1, count - 3, PLAUSIBLE)) / count if count > 3.5 else math.inf
    most = best.rest_pa**2 + margin * max(best.rest_pa, least) ** 2
    return [one for one in found if one.line.rest_pa**2 <= most]


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

    Notes
    -----
    The choice moves the estimate only: the bounds hold for all variants.
    """
    plain = fitted[0]
    best = min(fitted, key=lambda one: one.line.rest_pa)
    return best if best.line.rest_pa < 0.95 * plain.line.rest_pa else plain
