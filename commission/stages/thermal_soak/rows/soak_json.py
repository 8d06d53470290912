"""A soak and a heat as plain data for programs: one JSON object on one line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.verdict import Bounded, Outcome
from commission.stages.thermal_soak.model import SettledPart, SteadyWord

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.base.quantity import Phrase
    from commission.stages.thermal_soak.model import SoakVerdict


class HeatAnswer(Frozen):
    """The heat that a coolant carries."""

    heat_w: float
    """That heat [W]."""
    u_heat_w: float
    """Its standard uncertainty [W]."""


class JudgedSoak(Frozen):
    """What the soak of one file proves."""

    file: str
    """The file as it was named; ``-`` for standard input."""
    outcome: Outcome
    """What it is worth: pass, fail, inconclusive or invalid."""
    steady: SteadyWord | None
    """Whether coolant above air stands still; null with too few readings."""
    slope_k_s: float | None
    """Its slope at the end [K/s]; null likewise."""
    u_slope_k_s: float | None
    """Standard uncertainty of that [K/s]; null likewise."""
    end_k: Bounded | None
    """Where coolant settles above air, with two one-sided 95 % bounds [K]; null where the readings do not bound it."""
    time_constant_s: float | None
    """Time constant [s]; null where none shows."""
    load_w: float | None
    """Electrical load [W]; null where it was not read."""
    heat_w: float | None
    """Heat that the coolant gives off [W]; null without flow and both sides."""
    u_heat_w: float | None
    """Its standard uncertainty [W]; null likewise."""
    k_per_w: Bounded | None
    """Coolant above air per watt [K/W]; null where the end is not bounded or no watts are known."""
    components: tuple[SettledPart, ...]
    """Where components settle in the warmest room [K]."""
    readings: int
    """How many readings there are [1]."""
    counts_s: float
    """Time since load and duties are unchanged [s]."""
    reasons: tuple[str, ...]
    """Why, in plain words; the one that decided comes first."""


def judged_soak(file: str, verdict: SoakVerdict, said: Callable[[Phrase], str]) -> JudgedSoak:
    """Return a verdict as plain data; ``said`` returns a phrase as a sentence."""
    steady = verdict.steady
    return JudgedSoak(
        file=file,
        outcome=verdict.outcome,
        steady=None if steady is None else steady.word,
        slope_k_s=None if steady is None else steady.slope_k_s,
        u_slope_k_s=None if steady is None else steady.u_slope_k_s,
        end_k=verdict.end,
        time_constant_s=verdict.time_constant_s,
        load_w=verdict.load_w,
        heat_w=verdict.heat_w,
        u_heat_w=verdict.u_heat_w,
        k_per_w=verdict.k_per_w,
        components=verdict.components,
        readings=verdict.readings,
        counts_s=verdict.counts_s,
        reasons=tuple(map(said, verdict.reasons)),
    )
