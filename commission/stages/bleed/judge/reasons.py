"""The sentences that decide a bleed."""

from __future__ import annotations

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced, clip
from commission.stages.bleed.model import BleedRule

NO_CYCLE = Phrase("no_cycle", "No bleed cycle has been recorded yet.")
"""Says that there is no cycle yet."""

OUT_OF_ORDER = Phrase("times_out_of_order", "The times of the cycles run backwards: withdraw the one that is wrong.")
"""Says that the times of the cycles contradict each other."""

COOLANT_MOVED = Phrase(
    "coolant_moved", "Coolant was added or taken beside the cycles: only the cycles behind that count."
)
"""Says that a top-up was logged beside the cycles, so that they do not show what the loop took."""

CYCLE_WITHDRAWN = Phrase(
    "cycle_withdrawn", "A cycle that broke the rule was withdrawn: only the cycles behind it count."
)
"""Says that the row begins again behind a cycle that was withdrawn."""

AMOUNT_WITHDRAWN = Phrase(
    "amount_withdrawn", "An amount beside the cycles was withdrawn: only the cycles behind it count."
)
"""Says that the row begins again behind an amount that was withdrawn."""

NOT_CONVERGING = Phrase(
    "not_converging",
    (
        "The top-ups do not shrink: a leak, trapped air, or a level read at different "
        "temperatures. Look for damp first, then tilt the case another way."
    ),
)
"""Says that the amounts do not shrink."""

MORE_CAME_OUT = Phrase(
    "more_came_out",
    "The level sank by more than was missing when the bleed began: the rest ran out. Look for a leak first.",
)
"""Says that the cycles took more than there was air."""

PUMP_STOOD = Phrase("pump_stood", "The pump stood in that cycle: air that is not carried along does not come out.")
"""Says that the pump stood in a cycle, so that it proves nothing."""

RAN_TOO_SHORT = Phrase(
    "ran_too_short", "The pump ran for less than a minute in that cycle: too short to carry air round the loop."
)
"""Says that the pump ran too short in a cycle, so that it proves nothing."""

BUBBLES_SEEN = Phrase("bubbles_seen", "Bubbles were seen at the end of a cycle: air is still on the move.")
"""Says that bubbles were seen."""

NOBODY_LOOKED = Phrase("bubbles_not_looked_for", "Nobody looked for bubbles at the end of a cycle: look, with a lamp.")
"""Says that nobody looked for bubbles."""

NOBODY_LISTENED = Phrase("noise_not_listened_for", "Nobody listened at the end of a cycle: put an ear near the pump.")
"""Says that nobody listened."""


def volume(m3: float) -> Amount:
    """Return a volume for a sentence; rounding is left to the screen."""
    return Amount(Quantity.VOLUME, m3)


def level_rose(m3: float) -> Phrase:
    """Say that a level rose, which air coming out cannot do.

    Warming by 10 K raises a level by almost a millimetre.
    """
    return Phrase(
        "level_rose",
        "In one cycle the level rose by {0}: air coming out only lowers it. The coolant warmed, the case was tilted, "
        "or the reading is wrong. Withdraw it, and read at the same temperature and position.",
        (volume(m3),),
    )


def kept_to_rule(cycles: int, covered_s: float, top_up_m3: float) -> Phrase:
    """Say that enough cycles over a long enough time kept to the rule.

    The deciding sentence of a pass.
    """
    return Phrase(
        "kept_to_rule",
        f"The last {cycles} cycles over {{0}} each took at most {{1}}, quiet and without bubbles.",
        (Amount(Quantity.DURATION, covered_s), volume(top_up_m3)),
    )


def left_tilted(tilt: str) -> Phrase:
    """Say that the last cycle ran with the case tilted, so that air may still rise once it stands.

    >>> left_tilted("left").template[:45]
    'The last cycle ran with the case tilted left:'
    """
    said = f"The last cycle ran with the case tilted {tilt}: run one more upright, or as it will stand."
    return Phrase("left_tilted", said)


def as_it_stood(tilt: str) -> Phrase:
    """Say in which position the last cycle ran, where only the builder knows whether it will stand so."""
    return Phrase("as_it_stood", f"The last cycle ran with the case {braced(clip(tilt))}: it counts for that position.")


def even_as_a_drip(cycles: int, covered_s: float, total_m3: float) -> Phrase:
    """Say that what the last cycles took in all cannot be told from a drip.

    It forbids a pass however little each of them took.
    """
    return Phrase(
        "even_as_a_drip",
        f"The last {cycles} cycles over {{0}} took {{1}} in all: that may be a drip. Look at every joint. Top up by "
        "syringe, which reads finer; bleed on until two cycles, and more in a row than before, take next to nothing.",
        (Amount(Quantity.DURATION, covered_s), volume(total_m3)),
    )


def more_needed(kept: int, covered_s: float, rule: BleedRule) -> Phrase:
    """Say what the rule still needs.

    Never a verdict on fewer cycles than the rule needs.

    >>> more_needed(1, 600.0, BleedRule(last_cycles=3, span_s=7200, top_up_m3=2e-6)).template[:6]
    '1 of 3'
    """
    return Phrase(
        "more_cycles_needed",
        f"{kept} of {rule.last_cycles} clean cycles in a row, over {{0}} of {{1}}: go on.",
        (Amount(Quantity.DURATION, covered_s), Amount(Quantity.DURATION, rule.span_s)),
    )


def too_much_came(m3: float, limit_m3: float) -> Phrase:
    """Say that a cycle took more than the limit.

    Even if the reading is off by its resolution.
    """
    return Phrase(
        "too_much_came",
        "The last cycle over the limit took {0}, more than {1}: air is still coming out.",
        (volume(m3), volume(limit_m3)),
    )


def level_fell(m3: float) -> Phrase:
    """Say that the level fell by more than the cycles told.

    It counts as what the cycle before the level took.
    """
    return Phrase(
        "level_fell_beside",
        "By the levels read, {0} more left than the cycles tell. Look for damp; then top up to the mark and bleed on.",
        (volume(m3),),
    )


def too_coarse(m3: float, resolution_m3: float, limit_m3: float) -> Phrase:
    """Say that a reading cannot show that the limit is kept.

    The reading with its resolution reaches beyond the limit.
    """
    return Phrase(
        "reading_too_coarse",
        "{0} ± {1} may exceed {2}. Top up with a syringe.",
        (volume(m3), volume(resolution_m3), volume(limit_m3)),
    )


def noise_heard(noise: str) -> Phrase:
    """Say that the pump was not quiet.

    Air in the pump is heard before it is seen.

    >>> noise_heard("gurgling").template[:22]
    'The loop was gurgling '
    """
    return Phrase("noise_heard", f"The loop was {noise} at the end of a cycle: air is in the pump or close to it.")


def level_breathes(m3: float) -> Phrase:
    """Say that the level fell when the pump started and came back when it stopped.

    The sign of trapped air; see ``physics.trapped_air``.
    """
    return Phrase(
        "level_breathes",
        (
            "The level dips {0} at pump start and comes back: trapped air, or soft tubes. "
            "Tilt the case so that it can rise."
        ),
        (volume(m3),),
    )
