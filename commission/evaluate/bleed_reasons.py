"""The sentences of a bleed's verdict."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from commission.domain.bleed import TailState
from commission.domain.quantity import Amount, Phrase, Quantity

if TYPE_CHECKING:
    from commission.domain.bleed import AirTail, BleedRule, TimedCycle

UNEQUAL = 2.0
"""Cycles whose lengths differ by more than this factor are not of equal effort [1]; common practice, no source."""


def _ml(m3: float) -> Amount:
    return Amount(Quantity.VOLUME, m3)


def no_cycle() -> Phrase:
    """Say that there is no cycle yet."""
    return Phrase("no_cycle", "No bleed cycle has been recorded yet.")


def level_rose(m3: float) -> Phrase:
    """Say that a level rose, by a volume [m3], which air coming out cannot do."""
    return Phrase(
        "level_rose",
        "In one cycle the level rose by {0}: air coming out only lowers it. The coolant warmed, the case was tilted, "
        "or the reading is wrong. Withdraw it, and read at the same temperature and position.",
        (_ml(m3),),
    )


def out_of_order() -> Phrase:
    """Say that the times of the cycles contradict each other."""
    return Phrase("times_out_of_order", "The times of the cycles run backwards: withdraw the one that is wrong.")


def not_converging() -> Phrase:
    """Say that the amounts do not shrink."""
    return Phrase(
        "not_converging",
        "The amounts do not shrink from cycle to cycle: a leak, a trapped pocket that lets go bit by bit, or a level "
        "read at different temperatures. Look for damp first, then tilt the case another way.",
    )


def kept_to_rule(cycles: int, covered_s: float, top_up_m3: float) -> Phrase:
    """Say that enough cycles over a long enough time [s] took no more than the limit [m3]."""
    return Phrase(
        "kept_to_rule",
        f"The last {cycles} cycles over {{0}} each took at most {{1}}, quiet and without bubbles.",
        (Amount(Quantity.DURATION, covered_s), _ml(top_up_m3)),
    )


def more_needed(kept: int, covered_s: float, rule: BleedRule) -> Phrase:
    """Say how many cycles, or how much time [s], the rule still needs."""
    return Phrase(
        "more_cycles_needed",
        f"{kept} of {rule.last_cycles} cycles in a row keep to the rule, over {{0}} of {{1}}: go on.",
        (Amount(Quantity.DURATION, covered_s), Amount(Quantity.DURATION, rule.span_s)),
    )


def pump_stood() -> Phrase:
    """Say that the pump stood in a cycle, so that it proves nothing."""
    return Phrase("pump_stood", "The pump stood in that cycle: air that is not carried along does not come out.")


def too_much_came(m3: float, limit_m3: float) -> Phrase:
    """Say that a cycle took more [m3] than the limit [m3]."""
    return Phrase(
        "too_much_came",
        "The last cycle beyond the rule took {0}, more than {1}: air is still coming out.",
        (_ml(m3), _ml(limit_m3)),
    )


def too_coarse(m3: float, resolution_m3: float, limit_m3: float) -> Phrase:
    """Say that a reading [m3] with its resolution [m3] cannot show that the limit [m3] is kept."""
    return Phrase(
        "reading_too_coarse",
        "{0} ± {1} may be more than {2}: read finer, with a syringe or on the marks of a narrow reservoir.",
        (_ml(m3), _ml(resolution_m3), _ml(limit_m3)),
    )


def bubbles_seen() -> Phrase:
    """Say that bubbles were seen."""
    return Phrase("bubbles_seen", "Bubbles were seen at the end of a cycle: air is still on the move.")


def nobody_looked() -> Phrase:
    """Say that nobody looked for bubbles."""
    return Phrase("bubbles_not_looked_for", "Nobody looked for bubbles at the end of a cycle: look, with a lamp.")


def noise_heard(noise: str) -> Phrase:
    """Say that the pump was not quiet, in the word for the noise."""
    return Phrase("noise_heard", f"The loop was {noise} at the end of a cycle: air is in the pump or close to it.")


def nobody_listened() -> Phrase:
    """Say that nobody listened."""
    return Phrase("noise_not_listened_for", "Nobody listened at the end of a cycle: put an ear near the pump.")


def level_breathes(m3: float) -> Phrase:
    """Say that the level fell, by a volume [m3], when the pump started and came back when it stopped."""
    return Phrase(
        "level_breathes",
        "The level falls by {0} when the pump starts and comes back when it stops: the pump squeezes air that is "
        "trapped where the pressure is. Soft tubes do the same in small. Tilt the case so that the pocket can rise.",
        (_ml(m3),),
    )


def tail_phrase(tail: AirTail, cycles: int) -> Phrase:
    """Say what is still to come out, from the cycles since the case was last moved."""
    if tail.state is TailState.NOT_CONVERGING:
        return not_converging()
    if tail.state is TailState.TOO_FEW or tail.low_m3 is None or tail.best_m3 is None or tail.high_m3 is None:
        return Phrase(
            "too_few_to_foresee",
            f"What is still to come cannot be foreseen from {cycles} cycles in this position: too few, or too coarsely "
            "read.",
        )
    return Phrase(
        "air_still_to_come",
        "About {0} are still to come out in this position, between {1} and {2}.",
        (_ml(tail.best_m3), _ml(tail.low_m3), _ml(tail.high_m3)),
    )


def unequal_effort(series: Sequence[TimedCycle]) -> Phrase | None:
    """Say that the cycles are of unequal length, so that the foresight is worth less; None where they are not."""
    lengths = [timed.cycle.run_s for timed in series]
    if len(lengths) < 2 or min(lengths) <= 0 or max(lengths) <= UNEQUAL * min(lengths):
        return None
    return Phrase(
        "unequal_cycles",
        "The cycles lasted between {0} and {1}: what is to come is foreseen well only from cycles of equal length.",
        (Amount(Quantity.DURATION, min(lengths)), Amount(Quantity.DURATION, max(lengths))),
    )


def dissolved_phrase(m3: float, hot_k: float) -> Phrase:
    """Say what dissolved air [m3] the first warming to a temperature [K] brings, so that nobody takes it for a leak."""
    return Phrase(
        "dissolved_air_to_come",
        "When the coolant first warms to {0}, up to {1} of air that is dissolved in it come out: that is neither a "
        "leak nor a bad bleed. Top up and bleed once more after it.",
        (Amount(Quantity.TEMPERATURE, hot_k), _ml(m3)),
    )
