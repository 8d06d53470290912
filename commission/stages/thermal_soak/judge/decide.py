"""What decides a soak: bounds against limits, and what a pass still lacks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.verdict import Outcome
from commission.stages.thermal_soak.judge import reasons
from commission.stages.thermal_soak.judge.worse import fall_of_flow
from commission.stages.thermal_soak.model import SteadyWord

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.base.quantity import Phrase
    from commission.stages.thermal_soak.judge.approach import Approach
    from commission.stages.thermal_soak.judge.balance import Balance
    from commission.stages.thermal_soak.judge.columns import Columns
    from commission.stages.thermal_soak.model import PartLimit, SoakRule, Steady


class Ends(Frozen):
    """Where all settle: bounds that are None are open."""

    above: tuple[float, float | None, float | None]
    """Coolant above air: value, lower and upper bound [K]."""
    parts: tuple[tuple[str, float, float | None, float | None], ...]
    """Each component in the warmest room: name, value, lower and upper bound [K]."""


class Facts(Frozen):
    """All that decides, beside the readings themselves."""

    balance: Balance
    """Load and heat."""
    approach: Approach | None
    """The course of coolant above air; None where one time constant does not describe it."""
    ends: Ends | None
    """Where all settle; None where nothing bounds it."""
    steady: Steady | None
    """Whether it stands still; None where nothing can be said."""
    rule: SoakRule
    """The limits."""
    limits: tuple[PartLimit, ...]
    """How warm each component may get."""
    unwatched: Phrase | None
    """What lacks of the look at the hot joints."""
    unread: str
    """A component that has a limit of its own and was not read; empty where none is."""
    stands: Phrase | None
    """What says that nothing moves the coolant."""
    hung: Phrase | None
    """What says that a logger or sensor hangs."""
    not_heated: Phrase | None
    """Why the readings are no soak of the machine as it is left."""
    leak: Phrase | None
    """The joint that leaks while hot; None where none does."""
    climb: float
    """How fast it climbs on [K/s]; 0 where it does not."""
    gap_s: float
    """Longest time between two readings that count, where it is most of theirs [s]; 0 where it is not."""

    @property
    def most(self) -> Mapping[str, float]:
        """The warmest that each component may get [K]."""
        return {one.name: one.most_k for one in self.limits}


def decide(columns: Columns, first: int, facts: Facts) -> tuple[Outcome, Phrase]:
    """Return the outcome and the reason that decided."""
    ends, steady = facts.ends, facts.steady
    wrong = _not_to_be_judged(columns, first, facts.balance)
    if wrong is not None:
        return Outcome.INVALID, wrong
    failed = _failed(columns, first, facts)
    if failed is not None:
        return Outcome.FAIL, failed
    if facts.stands is not None:
        return Outcome.INVALID, facts.stands
    short = _not_yet(facts)
    if short is not None or ends is None or steady is None or steady.word is SteadyWord.STEADY:
        return (Outcome.PASS, reasons.STEADY) if short is None else (Outcome.INCONCLUSIVE, short)
    assert ends.above[2] is not None  # an open bound falls short
    return Outcome.PASS, reasons.foreseen(ends.above[2], facts.rule.above_air_k)


def _not_yet(facts: Facts) -> Phrase | None:
    """Return what a pass still lacks; None where it lacks nothing."""
    ends, steady = facts.ends, facts.steady
    if facts.climb > 0:
        return reasons.gets_worse(facts.climb)
    if ends is None or steady is None:
        return reasons.TOO_FEW
    short = _falls_short(ends, facts) or (reasons.gap(facts.gap_s) if facts.gap_s else None)
    if short is not None:
        return short
    if steady.word is not SteadyWord.STEADY and steady.window_s < steady.needed_s:
        return reasons.too_soon(steady.needed_s - steady.window_s)
    if not facts.balance.load_w and facts.balance.heat_w is None:
        return reasons.NO_LOAD
    if facts.hung is not None or facts.not_heated is not None:
        return facts.hung or facts.not_heated
    if facts.unread:
        return reasons.limit_not_read(facts.unread)
    return facts.unwatched


def _not_to_be_judged(columns: Columns, first: int, balance: Balance) -> Phrase | None:
    """Return why the readings cannot be right; None where they may be."""
    if balance.swapped:
        return reasons.SIDES_SWAPPED
    if balance.load_w and float(columns.above_k[first:].mean()) < -1.0:
        return reasons.COLDER_THAN_AIR
    return None


def _failed(columns: Columns, first: int, facts: Facts) -> Phrase | None:
    """Return why it fails for sure; None where it does not."""
    if facts.leak is not None:
        return facts.leak
    hot = _too_warm_now(columns, facts)
    if hot is not None:
        return hot
    fell = fall_of_flow(columns.elapsed_s[first:], columns.flow_m3_s[first:])
    if fell > facts.rule.flow_fall:
        return reasons.flow_fell(fell)
    return None if facts.ends is None else _settles_too_warm(facts.ends, facts)


def _too_warm_now(columns: Columns, facts: Facts) -> Phrase | None:
    import numpy as np

    hottest = float(np.nanmax(columns.above_k + columns.air_k))
    if hottest > facts.rule.coolant_most_k:
        return reasons.too_warm_now("coolant", hottest, facts.rule.coolant_most_k)
    for name, column in columns.components.items():
        if float(np.nanmax(column)) > facts.most[name]:
            return reasons.too_warm_now(name, float(np.nanmax(column)), facts.most[name])
    return None


def _settles_too_warm(ends: Ends, facts: Facts) -> Phrase | None:
    rule, low = facts.rule, ends.above[1]
    if low is not None and low > rule.above_air_k:
        return reasons.settles_above(low, rule.above_air_k)
    if low is not None and low + rule.warmest_air_k > rule.coolant_most_k:
        return reasons.warm_room("coolant", low + rule.warmest_air_k, rule.warmest_air_k, rule.coolant_most_k)
    for name, _, least, _ in ends.parts:
        if least is not None and least > facts.most[name]:
            return reasons.warm_room(name, least, rule.warmest_air_k, facts.most[name])
    return None


def _falls_short(ends: Ends, facts: Facts) -> Phrase | None:
    """Return which bound is missing or too wide for a pass; None where all are within the limits."""
    rule, high = facts.rule, ends.above[2]
    if high is None:
        return reasons.not_bounded("coolant")
    if high > rule.above_air_k:
        return reasons.straddles_above(high, rule.above_air_k)
    if high + rule.warmest_air_k > rule.coolant_most_k:
        return reasons.straddles("coolant", high + rule.warmest_air_k, rule.coolant_most_k)
    for name, _, _, most in ends.parts:
        if most is None:
            return reasons.not_bounded(name)
        if most > facts.most[name]:
            return reasons.straddles(name, most, facts.most[name])
    return None
