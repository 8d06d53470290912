"""A verdict in words and figures, the same while the hold runs and after."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.card import Figure
from commission.bench.figures import difference, duration, pressure, rate
from commission.stages.pressure_hold.entries import HoldPlan
from commission.units.show import say, show, show_level

if TYPE_CHECKING:
    from commission.stages.pressure_hold.model import HoldVerdict, LeakRate

COMPARED = "For comparison only"
"""Stands beside what simpler rules would say."""


def usual_units(plan: HoldPlan | None) -> Mapping[Quantity, str]:
    """Return the units that the plan's instruments have on their faces."""
    if plan is None:
        return {}
    units = {Quantity.GAUGE_PRESSURE: plan.gauge.unit, Quantity.PRESSURE_DIFFERENCE: plan.gauge.unit}
    if plan.barometer is not None:
        units[Quantity.ABSOLUTE_PRESSURE] = plan.barometer.unit
    if plan.thermometer is not None:
        units[Quantity.TEMPERATURE] = plan.thermometer.unit
    return units


def rate_bounds(leak: "LeakRate") -> str:
    """Return both one-sided bounds of a leak rate by which it is decided, in the unit that stands beside them."""
    unit = "mbar·L/s"
    low, high = (
        show(value, Quantity.LEAK_RATE, unit=unit, digits=2).removesuffix(f" {unit}")
        for value in (leak.at_least, leak.at_most)
    )
    return f"{low} to {high} (≥ {show_level(leak.level)})"


def reasons_of(verdict: "HoldVerdict", usual: Mapping[Quantity, str]) -> list[str]:
    """Return the reasons in plain words, the one that decided first."""
    return [say(phrase, usual=usual) for phrase in verdict.reasons]


def figures_of(verdict: "HoldVerdict", plan: HoldPlan, usual: Mapping[Quantity, str]) -> tuple[Figure, ...]:
    """Return the figures behind a verdict, the most important first."""
    unit = plan.gauge.unit
    rows = _rate_rows(verdict)
    rows.append(Figure(label="limit", value=rate(verdict.limit_pa_m3_s), bounds="of air at test pressure, 20 °C"))
    if verdict.drop_pa is not None:
        rows.append(
            Figure(
                label="fall",
                value=difference(verdict.drop_pa, unit),
                bounds=f"compensated, in {duration(verdict.duration_s)}",
            )
        )
    if verdict.start_gauge_pa is not None:
        rows.append(
            Figure(
                label="test pressure",
                value=pressure(verdict.start_gauge_pa, unit),
                bounds=f"at the start, {verdict.readings} readings",
            )
        )
    if verdict.smallest_detectable is not None:
        rows.append(Figure(label="least found", value=rate(verdict.smallest_detectable), bounds="by this hold"))
    return tuple(rows)


def _rate_rows(verdict: "HoldVerdict") -> list[Figure]:
    """Return the leak rate; one that became faster has a mean that says little, so both are told."""
    leak, late = verdict.leak_rate, verdict.late
    if leak is None:
        return []
    if late is None:
        return [Figure(label="leak rate", value=rate(leak.value), bounds=rate_bounds(leak))]
    proven = f"at least {rate(late.at_least_pa_m3_s)}" if late.at_least_pa_m3_s > 0 else ""
    return [
        Figure(label="mean over hold", value=rate(leak.value), bounds=rate_bounds(leak)),
        Figure(label="at the end", value=rate(late.rate_pa_m3_s), bounds=proven),
    ]


def so_far(verdict: "HoldVerdict", usual: Mapping[Quantity, str]) -> str:
    """Return where a running hold stands, in one line: before its planned end a pass is none yet."""
    reason, leak = verdict.reasons[0], verdict.leak_rate
    if reason.code not in ("before_planned_end", "still_running") or leak is None:
        return say(reason, usual=usual)
    limit = verdict.limit_pa_m3_s
    if leak.at_most <= limit:
        return "even the upper bound is within the limit; only the planned end makes it a pass."
    if leak.at_least > limit:
        return "even the lower bound is beyond the limit; only the planned end makes it a fail."
    return "the limit lies between the bounds."


def short_figures(verdict: "HoldVerdict", plan: HoldPlan) -> tuple[Figure, ...]:
    """Return the few figures that matter while the hold runs: the curve wants the room."""
    unit = plan.gauge.unit
    rows = _rate_rows(verdict)
    rows.append(Figure(label="limit", value=rate(verdict.limit_pa_m3_s)))
    if verdict.drop_pa is not None:
        told = f"compensated, in {duration(verdict.duration_s)}"
        rows.append(Figure(label="fall", value=difference(verdict.drop_pa, unit), bounds=told))
    return tuple(rows)


def rules_of(verdict: "HoldVerdict", usual: Mapping[Quantity, str]) -> tuple[str, ...]:
    """Return what simpler rules would say, labelled as what they are."""
    return tuple(
        f"{COMPARED}, {rule.name}: {rule.outcome.upper()}. {say(rule.why, usual=usual)}" for rule in verdict.plain_rules
    )
