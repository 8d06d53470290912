"""The verdict on a thermal soak: where it settles, how sure that is, and whether that is within the limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.base.verdict import Bounded, Outcome
from commission.stages.thermal_soak.judge import reasons
from commission.stages.thermal_soak.judge.approach import fit_approach
from commission.stages.thermal_soak.judge.balance import ONE_SIDED, balance_of, per_watt
from commission.stages.thermal_soak.judge.columns import columns_of, unchanged_from
from commission.stages.thermal_soak.judge.steady import judge_steady
from commission.stages.thermal_soak.judge.worse import climb_behind_bend, fall_of_flow
from commission.stages.thermal_soak.model import (
    ColdLevel,
    SettledPart,
    SoakPicture,
    SoakPlan,
    SoakReading,
    SoakRule,
    SoakVerdict,
    Steady,
    SteadyWord,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from commission.stages.thermal_soak.judge.approach import Approach
    from commission.stages.thermal_soak.judge.balance import Balance
    from commission.stages.thermal_soak.judge.columns import Columns

DRAWN = 240
"""Most points of a picture [1]; our choice: more than a wide terminal has columns."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ends:
    """Where all settle: bounds that are None are open."""

    above: tuple[float, float | None, float | None]
    parts: tuple[tuple[str, float, float | None, float | None], ...]


def evaluate_thermal_soak(
    readings: Sequence[SoakReading],
    plan: SoakPlan,
    rule: SoakRule,
    *,
    running: bool = False,
    watched: bool = True,
    level: ColdLevel | None = None,
) -> SoakVerdict:
    """Judge a soak.

    Parameters
    ----------
    readings
        In order of time [SI].
    plan
        Coolant and displays.
    rule
        The limits [SI].
    running
        Whether it goes on, so that more may come.
    watched
        Whether the joints were looked at while hot.
    level
        The level after cooling; None where it was not read.

    Returns
    -------
    SoakVerdict
        Outcome, figures, reasons.

    Notes
    -----
    Only readings since load and duties are unchanged count. It passes where the upper bounds of all ends are within the
    limits in the warmest room, whether it stands still or its course bounds the end; it fails where a lower bound is
    above a limit, where a reading was, or where the flow fell. Coolant that is missing once cold leaves no pass.

    Source: our choice; the parts name their own.
    """
    if not readings:
        none = Outcome.INCONCLUSIVE if running else Outcome.INVALID
        return _plain(none, reasons.NO_READING, rule, 0)
    if any(later.elapsed_s <= sooner.elapsed_s for sooner, later in pairwise(readings)):
        return _plain(Outcome.INVALID, reasons.OUT_OF_ORDER, rule, len(readings))
    columns = columns_of(readings)
    first = unchanged_from(columns)
    t, above = columns.elapsed_s[first:], columns.above_k[first:]
    balance = balance_of(columns, first, plan, rule)
    approach = fit_approach(t, above, plan.resolution_k)
    steady = None
    if approach is not None:
        steady = judge_steady(t, above, approach.time_constant_s, plan.resolution_k, rule)
    climb = 0.0
    if steady is not None and steady.word is not SteadyWord.STEADY:
        climb = climb_behind_bend(t, above, plan.resolution_k)
    worse = climb > rule.slope_k_s  # no bound holds for what one time constant does not describe
    ends = None if approach is None or worse else _ends(columns, first, approach, steady, plan, rule)
    outcome, why = _decide(columns, first, balance, ends, steady, rule, watched=watched, climb=climb if worse else 0.0)
    end = None if ends is None else _bounded(*ends.above)
    outcome, said = _with_level(outcome, (why, *_remarks(columns, first, balance)), level)
    return SoakVerdict(
        outcome=outcome,
        rule=rule,
        readings=len(readings),
        span_s=float(columns.elapsed_s[-1] - columns.elapsed_s[0]),
        counts_s=float(t[-1] - t[0]) if t.size else 0.0,
        steady=steady,
        end=end,
        least_end_k=None if ends is None else ends.above[1],
        time_constant_s=None if approach is None or worse else approach.time_constant_s,
        load_w=balance.load_w,
        heat_w=balance.heat_w,
        u_heat_w=balance.u_heat_w,
        k_per_w=None if end is None else per_watt(end, balance),
        components=() if ends is None else _settled(ends),
        level=level,
        reasons=said,
        picture=_picture(columns, first, None if worse else approach),
    )


def _with_level(
    outcome: Outcome, why: tuple[Phrase, ...], level: ColdLevel | None
) -> tuple[Outcome, tuple[Phrase, ...]]:
    """Return outcome and reasons with what the level after cooling says: what is missing leaves no pass."""
    said = None if level is None else reasons.of_level(level.missing)
    if said is None:
        return outcome, why
    if outcome is Outcome.PASS and said.code == reasons.MISSING:
        return Outcome.INCONCLUSIVE, (said, *why[1:])
    return outcome, (why[0], said, *why[1:])


def _plain(outcome: Outcome, why: Phrase, rule: SoakRule, readings: int) -> SoakVerdict:
    return SoakVerdict(outcome=outcome, rule=rule, readings=readings, span_s=0.0, counts_s=0.0, reasons=(why,))


def _ends(
    columns: Columns, first: int, approach: Approach, steady: Steady | None, plan: SoakPlan, rule: SoakRule
) -> _Ends:
    """Return where coolant and components settle, the sensors' own errors included."""
    import numpy as np

    t, air = columns.elapsed_s[first:], columns.air_k[first:]
    both = ONE_SIDED * 2**0.5 * rule.u_sensor_k
    above = _end(approach, steady, both)
    parts: list[tuple[str, float, float | None, float | None]] = []
    for name, column in columns.components.items():
        known = ~np.isnan(column[first:])
        found = fit_approach(t[known], (column[first:] - air)[known], plan.resolution_k)
        if found is None:
            parts.append((name, float("nan"), None, None))
            continue
        value, low, high = _end(found, steady, ONE_SIDED * rule.u_sensor_k)
        shift = rule.warmest_air_k
        parts.append(
            (name, value + shift, None if low is None else low + shift, None if high is None else high + shift)
        )
    return _Ends(above=above, parts=tuple(parts))


def _end(approach: Approach, steady: Steady | None, sensors_k: float) -> tuple[float, float | None, float | None]:
    """Return an end with its bounds [K]; readings without a bend count only where all stands still."""
    low, high = approach.low_k, approach.high_k
    if approach.time_constant_s is None and (steady is None or steady.word is not SteadyWord.STEADY):
        high = None
    return (
        approach.end_k,
        None if low is None else low - sensors_k,
        None if high is None else high + sensors_k,
    )


def _bounded(value: float, low: float | None, high: float | None) -> Bounded | None:
    if low is None or high is None:
        return None
    return Bounded(value=value, lower95=low, upper95=high)


def _settled(ends: _Ends) -> tuple[SettledPart, ...]:
    found = ((name, _bounded(value, low, high)) for name, value, low, high in ends.parts)
    return tuple(SettledPart(name=name, end=end) for name, end in found if end is not None)


def _decide(
    columns: Columns,
    first: int,
    balance: Balance,
    ends: _Ends | None,
    steady: Steady | None,
    rule: SoakRule,
    *,
    watched: bool,
    climb: float,
) -> tuple[Outcome, Phrase]:
    """Return the outcome and the reason that decided."""
    wrong = _not_to_be_judged(columns, first, balance)
    if wrong is not None:
        return Outcome.INVALID, wrong
    failed = _failed(columns, first, ends, rule)
    if failed is not None:
        return Outcome.FAIL, failed
    short = _not_yet(balance, ends, steady, rule, watched=watched, climb=climb)
    if short is not None or ends is None or steady is None or steady.word is SteadyWord.STEADY:
        return (Outcome.PASS, reasons.STEADY) if short is None else (Outcome.INCONCLUSIVE, short)
    assert ends.above[2] is not None  # an open bound falls short
    return Outcome.PASS, reasons.foreseen(ends.above[2], rule.above_air_k)


def _not_yet(
    balance: Balance, ends: _Ends | None, steady: Steady | None, rule: SoakRule, *, watched: bool, climb: float
) -> Phrase | None:
    """Return what a pass still lacks; None where it lacks nothing."""
    if climb > 0:
        return reasons.gets_worse(climb)
    if ends is None or steady is None:
        return reasons.TOO_FEW
    short = _falls_short(ends, rule)
    if short is not None:
        return short
    if steady.word is not SteadyWord.STEADY and steady.window_s < steady.needed_s:
        return reasons.too_soon(steady.needed_s - steady.window_s)
    if not balance.load_w and balance.heat_w is None:
        return reasons.NO_LOAD
    return None if watched else reasons.NOT_WATCHED


def _not_to_be_judged(columns: Columns, first: int, balance: Balance) -> Phrase | None:
    """Return why the readings cannot be right; None where they may be."""
    if balance.swapped:
        return reasons.SIDES_SWAPPED
    if balance.load_w and float(columns.above_k[first:].mean()) < -1.0:
        return reasons.COLDER_THAN_AIR
    return None


def _failed(columns: Columns, first: int, ends: _Ends | None, rule: SoakRule) -> Phrase | None:
    """Return why it fails for sure; None where it does not."""
    import numpy as np

    hottest = float(np.nanmax(columns.above_k + columns.air_k))
    if hottest > rule.coolant_most_k:
        return reasons.too_warm_now("coolant", hottest, rule.coolant_most_k)
    for name, column in columns.components.items():
        if float(np.nanmax(column)) > rule.component_most_k:
            return reasons.too_warm_now(name, float(np.nanmax(column)), rule.component_most_k)
    fell = fall_of_flow(columns.elapsed_s[first:], columns.flow_m3_s[first:])
    if fell > rule.flow_fall:
        return reasons.flow_fell(fell)
    if ends is None:
        return None
    low = ends.above[1]
    if low is not None and low > rule.above_air_k:
        return reasons.settles_above(low, rule.above_air_k)
    if low is not None and low + rule.warmest_air_k > rule.coolant_most_k:
        return reasons.warm_room("coolant", low + rule.warmest_air_k, rule.warmest_air_k, rule.coolant_most_k)
    for name, _, least, _ in ends.parts:
        if least is not None and least > rule.component_most_k:
            return reasons.warm_room(name, least, rule.warmest_air_k, rule.component_most_k)
    return None


def _falls_short(ends: _Ends, rule: SoakRule) -> Phrase | None:
    """Return which bound is missing or too wide for a pass; None where all are within the limits."""
    high = ends.above[2]
    if high is None:
        return reasons.not_bounded("coolant")
    if high > rule.above_air_k:
        return reasons.straddles_above(high, rule.above_air_k)
    if high + rule.warmest_air_k > rule.coolant_most_k:
        return reasons.straddles("coolant", high + rule.warmest_air_k, rule.coolant_most_k)
    for name, _, _, most in ends.parts:
        if most is None:
            return reasons.not_bounded(name)
        if most > rule.component_most_k:
            return reasons.straddles(name, most, rule.component_most_k)
    return None


def _remarks(columns: Columns, first: int, balance: Balance) -> tuple[Phrase, ...]:
    """Return what else is said."""
    said = []
    t = columns.elapsed_s[first:]
    if first:
        said.append(reasons.load_changed(float(t[-1] - t[0])))
    heat, u_heat = balance.heat_w, balance.u_heat_w
    if heat is not None and u_heat is not None:
        if balance.load_w and heat - balance.load_w > 2 * u_heat:
            said.append(reasons.more_heat_than_load(heat, balance.load_w))
        if 2 * u_heat > abs(heat) / 2:
            said.append(reasons.heat_not_confirmed(heat, u_heat))
    return tuple(said)


def _picture(columns: Columns, first: int, approach: Approach | None) -> SoakPicture:
    import numpy as np

    shown = np.unique(np.linspace(0, columns.elapsed_s.size - 1, DRAWN).round().astype(int))
    times: NDArray[np.float64] = np.array([])
    curve = times
    if approach is not None and approach.time_constant_s is not None:
        last = float(columns.elapsed_s[-1])
        times = np.linspace(approach.from_s, last + approach.time_constant_s, DRAWN // 4)
        times = times[times <= last + (last - approach.from_s)]
        curve = approach.end_k - approach.step_k * np.exp(-(times - approach.from_s) / approach.time_constant_s)
    return SoakPicture(
        elapsed_s=tuple(columns.elapsed_s[shown].tolist()),
        above_k=tuple(columns.above_k[shown].tolist()),
        counts_from_s=float(columns.elapsed_s[first]),
        fit_s=tuple(times.tolist()),
        fit_k=tuple(curve.tolist()),
    )
