"""What else is said of a bleed: what is still to come, unequal cycles, and the air that is dissolved."""

from __future__ import annotations

from collections.abc import Sequence

from commission.base.quantity import Amount, Phrase, Quantity
from commission.stages.bleed.judge.reasons import NOT_CONVERGING, volume
from commission.stages.bleed.model import AirTail, TailState, TimedCycle

UNEQUAL = 2.0
"""Cycles whose lengths differ by more than this factor are not of equal effort [1]; our choice: half as long again
either way brings much the same air."""


def tail_phrase(tail: AirTail, cycles: int) -> Phrase:
    """Say what is still to come out.

    Only cycles since the case was last moved count.
    """
    if tail.state is TailState.NOT_CONVERGING:
        return NOT_CONVERGING
    if tail.state is TailState.TOO_FEW or tail.low_m3 is None or tail.best_m3 is None or tail.high_m3 is None:
        word = "cycle" if cycles == 1 else "cycles"
        return Phrase(
            "too_few_to_foresee",
            f"Air left: too early to estimate from {cycles} {word} in this position.",
        )
    return Phrase(
        "air_still_to_come",
        "About {0} are still to come out in this position, between {1} and {2}.",
        (volume(tail.best_m3), volume(tail.low_m3), volume(tail.high_m3)),
    )


def unequal_effort(series: Sequence[TimedCycle]) -> Phrase | None:
    """Say that the cycles are of unequal length, so that the foresight is worth less; None where they are not.

    A factor of two is allowed.

    >>> unequal_effort([]) is None
    True
    """
    lengths = [timed.cycle.run_s for timed in series]
    if len(lengths) < 2 or min(lengths) <= 0 or max(lengths) <= UNEQUAL * min(lengths):
        return None
    return Phrase(
        "unequal_cycles",
        ("The cycles lasted between {0} and {1}: only cycles of equal length tell well how much air is left."),
        (Amount(Quantity.DURATION, min(lengths)), Amount(Quantity.DURATION, max(lengths))),
    )


def dissolved_phrase(m3: float, hot_k: float) -> Phrase:
    """Say what dissolved air the first warming brings, so that nobody takes it for a leak.

    An upper bound; see ``physics.dissolved_air``.
    """
    return Phrase(
        "dissolved_air_to_come",
        (
            "The first warm-up to {0} frees up to {1} more air: neither a leak nor a bad "
            "bleed. Top up and bleed again after it."
        ),
        (Amount(Quantity.TEMPERATURE, hot_k), volume(m3)),
    )
