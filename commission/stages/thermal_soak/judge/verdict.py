"""The verdict on a thermal soak: where it settles, how sure that is, and whether that is within the limits."""

from __future__ import annotations

import operator
from collections.abc import Sequence
from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.quantity import Phrase
from commission.base.verdict import Bounded, Outcome
from commission.stages.thermal_soak.judge import reasons
from commission.stages.thermal_soak.judge.approach import fit_approach
from commission.stages.thermal_soak.judge.balance import ONE_SIDED, balance_of, per_watt
from commission.stages.thermal_soak.judge.columns import columns_of, unchanged_from
from commission.stages.thermal_soak.judge.decide import Ends, Facts, decide
from commission.stages.thermal_soak.judge.heated import colder_parts, not_heated, stands
from commission.stages.thermal_soak.judge.hot_joints import damp_once, leak_of, not_dry_while_hot
from commission.stages.thermal_soak.judge.hung import hung
from commission.stages.thermal_soak.judge.part_limits import is_chip, limits_of
from commission.stages.thermal_soak.judge.steady import judge_steady
from commission.stages.thermal_soak.judge.worse import climb_behind_bend
from commission.stages.thermal_soak.model import (
    ColdLevel,
    HotWatch,
    Limits,
    Named,
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
    from commission.stages.thermal_soak.judge.columns import Columns

LOOKED = HotWatch(done=True)
"""The joints were looked at; not a number, no source."""
USUAL = Limits()
"""The rule's limit for any component: none beside it, no source."""
MOST_GAP = 0.5
"""Share of the time that counts in which nothing need be read [1]; our choice: most of a course is seen, or guessed."""
DRAWN = 240
"""Most points of a picture [1]; our choice: more than a wide terminal has columns."""


def evaluate_thermal_soak(
    readings: Sequence[SoakReading],
    plan: SoakPlan,
    rule: SoakRule,
    *,
    running: bool = False,
    watch: HotWatch = LOOKED,
    limits: Limits = USUAL,
    level: ColdLevel | None = None,
    left: Sequence[Named] = (),
) -> SoakVerdict:
    """Judge a soak.

    Parameters
    ----------
    readings
        In order of time [SI].
    running
        Whether it goes on, so that more may come.
    watch
        What is known of the joints while hot.
    limits
        How warm components may get, beside the rule [K].
    level
        The level after cooling; None where it was not read.
    left
        Duties that chains were left at, by their names [1].

    Notes
    -----
    Only readings since load and duties are unchanged count. It passes where the upper bounds of all ends are within the
    limits in the warmest room, whether it stands still or its course bounds the end; it fails where a lower bound is
    above a limit, where a reading was, or where the flow fell. Coolant that is missing once cold leaves no pass, nor
    does a machine that made no heat, or ran otherwise than it is left.

    Source: our choice; the parts name their own.
    """
    if (none := _none_to_judge(readings, rule, running=running)) is not None:
        return none
    columns = columns_of(readings)
    first = unchanged_from(columns)
    t = columns.elapsed_s[first:]
    facts = _facts(columns, first, plan, rule, watch, limits, left)
    balance, ends, approach = facts.balance, facts.ends, facts.approach
    outcome, why = decide(columns, first, facts)
    end = None if ends is None else _bounded(*ends.above)
    damp = () if facts.leak is not None else damp_once(watch.looks)
    outcome, said = _with_level(outcome, (why, *damp, *_remarks(columns, first, facts)), level)
    return SoakVerdict(
        outcome=outcome,
        rule=rule,
        readings=len(readings),
        span_s=float(columns.elapsed_s[-1] - columns.elapsed_s[0]),
        counts_s=float(t[-1] - t[0]) if t.size else 0.0,
        steady=facts.steady,
        end=end,
        least_end_k=None if ends is None else ends.above[1],
        time_constant_s=None if approach is None else approach.time_constant_s,
        load_w=balance.load_w,
        heat_w=balance.heat_w,
        u_heat_w=balance.u_heat_w,
        k_per_w=None if end is None else per_watt(end, balance),
        components=() if ends is None else _settled(ends),
        limits=facts.limits,
        level=level,
        reasons=said,
        picture=_picture(columns, first, approach),
    )


def without_worth(verdict: SoakVerdict, seq: int) -> SoakVerdict:
    """Return a verdict on readings of a machine that an entry changed since: no pass, and a fail stays one."""
    said = reasons.changed_meanwhile(seq)
    if verdict.outcome is Outcome.FAIL:
        return replace(verdict, reasons=(*verdict.reasons[:1], said, *verdict.reasons[1:]))
    return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(said, *verdict.reasons[1:]))


def _facts(
    columns: Columns,
    first: int,
    plan: SoakPlan,
    rule: SoakRule,
    watch: HotWatch,
    limits: Limits,
    left: Sequence[Named],
) -> Facts:
    """Return all that decides, from the readings that count."""
    balance = balance_of(columns, first, plan, rule)
    t, above = columns.elapsed_s[first:], columns.above_k[first:]
    approach = fit_approach(t, above, plan.resolution_k)
    steady, climb = _stands(t, above, approach, plan, rule)
    if climb > rule.slope_k_s:  # no bound holds for what one time constant does not describe
        approach = None
    return Facts(
        balance=balance,
        approach=approach,
        ends=None if approach is None else _ends(columns, first, approach, steady, plan, rule),
        steady=steady,
        rule=rule,
        limits=limits_of(columns.components, limits, rule),
        unwatched=_unwatched(watch, columns),
        unread=_unread(limits, columns),
        stands=stands(columns, first),
        hung=hung(columns, plan.resolution_k),
        not_heated=not_heated(columns, first, balance.load_w, plan, rule, left),
        leak=leak_of(watch.looks),
        climb=climb if climb > rule.slope_k_s else 0.0,
        gap_s=_gap(t),
    )


def _gap(t: NDArray[np.float64]) -> float:
    """Return the longest time between two readings where it is more than `MOST_GAP` of all that counts, else 0 [s]."""
    longest = _longest(t)
    return longest if longest > MOST_GAP * float(t[-1] - t[0]) > 0.0 else 0.0


def _longest(t: NDArray[np.float64]) -> float:
    """Return the longest time between two readings [s]."""
    return float((t[1:] - t[:-1]).max()) if t.size > 1 else 0.0


def _none_to_judge(readings: Sequence[SoakReading], rule: SoakRule, *, running: bool) -> SoakVerdict | None:
    """Return the verdict on readings that cannot be judged; None where they can."""
    if not readings:
        none = Outcome.INCONCLUSIVE if running else Outcome.INVALID
        return _plain(none, reasons.NO_READING, rule, 0)
    times = [one.elapsed_s for one in readings]
    if any(map(operator.le, times[1:], times)):
        return _plain(Outcome.INVALID, reasons.OUT_OF_ORDER, rule, len(readings))
    return None


def _stands(
    t: NDArray[np.float64], above: NDArray[np.float64], approach: Approach | None, plan: SoakPlan, rule: SoakRule
) -> tuple[Steady | None, float]:
    """Return whether it stands still, and how fast it climbs on behind its bend [K/s]."""
    if approach is None:
        return None, 0.0
    steady = judge_steady(t, above, approach.time_constant_s, plan.resolution_k, rule)
    if steady is None or steady.word is SteadyWord.STEADY:
        return steady, 0.0
    return steady, climb_behind_bend(t, above, plan.resolution_k)


def _unread(limits: Limits, columns: Columns) -> str:
    """Return a component that has a limit of its own and was not read; empty where none is."""
    read = {name.casefold() for name in columns.components}
    return next((one.name for one in limits.own if one.name.casefold() not in read), "")


def _unwatched(watch: HotWatch, columns: Columns) -> Phrase | None:
    """Return what lacks of the look at the hot joints; None where nothing does."""
    if watch.done:
        return None
    undone = not_dry_while_hot(watch.joints, watch.looks, columns.elapsed_s, columns.above_k)
    return reasons.not_watched(undone) if undone or not watch.joints else None


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
) -> Ends:
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
    return Ends(above=above, parts=tuple(parts))


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


def _settled(ends: Ends) -> tuple[SettledPart, ...]:
    found = ((name, _bounded(value, low, high)) for name, value, low, high in ends.parts)
    return tuple(SettledPart(name=name, end=end) for name, end in found if end is not None)


def _remarks(columns: Columns, first: int, facts: Facts) -> tuple[Phrase, ...]:
    """Return what else is said."""
    said, balance = [], facts.balance
    t = columns.elapsed_s[first:]
    # told beyond the shortest window of a pass, our choice: whoever reads by hand every ten minutes is told nothing
    if not facts.gap_s and (gap_s := _longest(t)) > facts.rule.least_window_s:
        said.append(reasons.nothing_read(gap_s))
    if balance.load_w and (cold := [one for one in colder_parts(columns, first, facts.rule) if not is_chip(one)]):
        said.append(reasons.colder_in_air(cold))
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
