"""A verdict in words and figures, the same while the hold runs and after."""

from collections.abc import Mapping
from math import isfinite
from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.base.text import counted
from commission.base.verdict import Outcome
from commission.bench.card import Figure, raw
from commission.bench.figures import duration, forecast
from commission.stages.pressure_hold.entries import HoldPlan
from commission.stages.pressure_hold.judge import share
from commission.stages.pressure_hold.rows.rate_digits import UNIT, places, rate_text
from commission.units.show import say, show, show_level
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.record.machine.instrument import Instrument
    from commission.stages.pressure_hold.model import HoldVerdict

RATE = "Pa·m3/s"
"""Unit of a leak rate in SI."""
DROP = "pressure drop"
"""Label of the fall of the pressure."""
WHILE_RUNNING = frozenset({"leak rate", "mean over hold", "at the end", "limit", DROP})
"""What a card shows while the hold runs: the curve wants the room."""
AT_THE_END = WHILE_RUNNING | {"test pressure", "detection limit"}
"""What it shows after."""
PASSED_BELOW = "above the limit: this pass rests on what leaks at the most"
"""Beside a detection limit above the limit of a hold that passed all the same."""
COMPARED = "For comparison only"
"""Stands beside what simpler rules would say."""


def passed_below(verdict: "HoldVerdict") -> bool:
    """Return whether a hold passed although it need not have found a leak of its limit."""
    found = verdict.smallest_detectable
    return verdict.outcome is Outcome.PASS and found is not None and found > verdict.limit_pa_m3_s


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


def reasons_of(verdict: "HoldVerdict", usual: Mapping[Quantity, str]) -> list[str]:
    """Return the reasons in plain words, the one that decided first."""
    return [say(phrase, usual=usual) for phrase in verdict.reasons]


def figures_of(verdict: "HoldVerdict", gauge: "Instrument") -> tuple[Figure, ...]:
    """Return the figures behind a verdict, the most important first; pressures as the gauge shows them."""
    text = rate_text(places(verdict))
    rows = _rate_rows(verdict, text)
    rows.append(
        Figure(
            label="limit",
            value=_rate(verdict.limit_pa_m3_s, text),
            bounds=worded("of air at test pressure, 20 °C"),
            raw=raw(RATE, verdict.limit_pa_m3_s),
        )
    )
    if verdict.drop_pa is not None:
        rows.append(
            Figure(
                label=DROP,
                value=_read(verdict.drop_pa, Quantity.PRESSURE_DIFFERENCE, gauge),
                bounds="temperature corrected",
                raw=raw("Pa", verdict.drop_pa),
            )
        )
    if verdict.start_gauge_pa is not None:
        rows.append(
            Figure(
                label="test pressure",
                value=_read(verdict.start_gauge_pa, Quantity.GAUGE_PRESSURE, gauge),
                bounds=f"{counted(verdict.readings, 'reading')} in {duration(verdict.duration_s)}",
                raw=raw("Pa", verdict.start_gauge_pa),
            )
        )
    if verdict.smallest_detectable is not None:
        rows.append(
            Figure(
                label="detection limit",
                value=_rate(verdict.smallest_detectable, text),
                bounds="of this hold",
                remark=PASSED_BELOW if passed_below(verdict) else "",
                raw=raw(RATE, verdict.smallest_detectable),
            )
        )
    return (*rows, *_times(verdict))


def _times(verdict: "HoldVerdict") -> tuple[Figure, ...]:
    """Return what the length of the hold left open, and what was left out of it."""
    blind = verdict.blind_s if verdict.late is None else None
    told = (
        ("late start unseen", blind, duration, "before the end"),
        ("settling", verdict.settling_s or None, duration, "left out at the start"),
        ("would decide", verdict.hold_needed_s, forecast, "of hold in all"),
    )
    return tuple(
        Figure(label=label, value=text(seconds), bounds=of, raw=raw("s", seconds))
        for label, seconds, text, of in told
        if seconds is not None
    )


def _rate_rows(verdict: "HoldVerdict", text: "Callable[[float], str]") -> list[Figure]:
    """Return the leak rate; one that became faster has a mean that says little, so both are told."""
    leak, late = verdict.leak_rate, verdict.late
    if leak is None:
        return []
    bounds = f"{text(leak.at_least)} to {text(leak.at_most)} (≥ {show_level(leak.level)})"
    behind = raw(RATE, leak.value, leak.at_least, leak.at_most)
    if late is None:
        return [Figure(label="leak rate", value=_rate(leak.value, text), bounds=bounds, raw=behind)]
    proven = f"at least {_rate(late.at_least_pa_m3_s, text)}" if late.at_least_pa_m3_s > 0 else ""
    onset, first, last = (duration(s) for s in (late.onset_s, late.onset_from_s, late.onset_to_s))
    return [
        Figure(label="mean over hold", value=_rate(leak.value, text), bounds=bounds, raw=behind),
        Figure(
            label="at the end",
            value=_rate(late.rate_pa_m3_s, text),
            bounds=proven,
            remark=f"faster from {onset} on ({first} to {last})",
            raw=raw(RATE, late.rate_pa_m3_s, late.at_least_pa_m3_s),
        ),
    ]


def _rate(si: float, text: "Callable[[float], str]") -> str:
    return f"{text(si)} {UNIT}" if isfinite(si) else text(si)


def _read(pa: float, quantity: Quantity, gauge: "Instrument") -> str:
    """Return a pressure as fine as the gauge's display."""
    return show(pa, quantity, own=gauge.unit, resolution=gauge.resolution)


def so_far(verdict: "HoldVerdict", usual: Mapping[Quantity, str]) -> str:
    """Return why a running hold has no verdict yet, in one line; its word says what it is on course to."""
    reason, leak = verdict.reasons[0], verdict.leak_rate
    if reason.code not in ("before_planned_end", "still_running") or leak is None:
        return say(reason, usual=usual)
    limit = verdict.limit_pa_m3_s
    if leak.at_most <= limit:
        return f"Leaks at most {share.at_most(leak.at_most, limit)} so far; decided at the planned end."
    if leak.at_least > limit:
        return f"Leaks at least {share.at_least(leak.at_least, limit)} so far; decided at the planned end."
    return f"Too early to tell: the leak is {share.between(leak.at_least, leak.at_most, limit)}."


def course(verdict: "HoldVerdict") -> Outcome:
    """Return what a running hold comes to if it goes on as it did: before its planned end nothing is proven."""
    reason, leak = verdict.reasons[0], verdict.leak_rate
    if reason.code not in ("before_planned_end", "still_running") or leak is None:
        return verdict.outcome
    if leak.at_most <= verdict.limit_pa_m3_s:
        return Outcome.PASS
    return Outcome.FAIL if leak.at_least > verdict.limit_pa_m3_s else Outcome.INCONCLUSIVE


def rules_of(verdict: "HoldVerdict", usual: Mapping[Quantity, str]) -> tuple[str, ...]:
    """Return what simpler rules would say, labelled as what they are."""
    return tuple(
        f"{COMPARED}, {rule.name}: {rule.outcome.upper()}. {say(rule.why, usual=usual)}" for rule in verdict.plain_rules
    )
