"""What a verdict says of a fall that became faster, of a time in which none would be seen, and of soft tube."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Amount, Phrase, Quantity
from commission.stages.pressure_hold.judge.allowance import TIMES_LIMIT

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.late import Late
    from commission.stages.pressure_hold.model import LateFall

READ_ON_S = 600.0
"""How much longer a fall that became faster is watched [s]; our choice: a leak goes on, a swing of the room turns."""
ENDS_OPEN = frozenset(
    {
        "fell_faster",
        "fell_faster_read_once_more",
        "pressure_bends",
        "step_not_known",
        "air_explains_too_much",
        "barometer_explains_too_much",
    }
)
"""Inconclusive for another reason than bounds on both sides of the limit: no length of hold can be promised."""


def late_leak(fall: LateFall, limit_pa_m3_s: float) -> Phrase:
    """Say that the end of the hold alone is beyond the limit.

    Parameters
    ----------
    fall
        The faster fall [SI].
    limit_pa_m3_s
        The limit [Pa·m3/s].

    Returns
    -------
    Phrase
        The deciding reason.

    Raises
    ------
    TypeError
        If a figure is not a number.
    """
    return Phrase(
        "late_leak",
        "It began to leak more during the hold: at least {0} at the end, above the limit {1}.",
        (Amount(Quantity.LEAK_RATE, fall.at_least_pa_m3_s), Amount(Quantity.LEAK_RATE, limit_pa_m3_s)),
    )


def fell_faster(after: int) -> Phrase:
    """Say that it fell faster towards the end, and what to do.

    Parameters
    ----------
    after
        How many readings lie after its beginning [1].

    Returns
    -------
    Phrase
        The deciding reason.

    Raises
    ------
    TypeError
        If a figure is not a number.
    """
    if after < 2:
        return Phrase(
            "fell_faster_read_once_more",
            "The last reading fell faster than before. Read once more: a leak goes on, a temperature swing does not.",
        )
    return Phrase(
        "fell_faster",
        "The pressure fell faster near the end. Read on for {0}: a leak goes on, a temperature swing does not.",
        (Amount(Quantity.DURATION, READ_ON_S),),
    )


def onset(fall: LateFall) -> Phrase:
    """Say when the faster fall began and how fast it is.

    Parameters
    ----------
    fall
        The faster fall [SI].

    Returns
    -------
    Phrase
        A remark.

    Raises
    ------
    TypeError
        If a figure is not a number.
    """
    when = tuple(Amount(Quantity.DURATION, at) for at in (fall.onset_s, fall.onset_from_s, fall.onset_to_s))
    rates = [Amount(Quantity.LEAK_RATE, fall.rate_pa_m3_s)]
    told = "It began to fall faster {0} into the hold ({1} to {2}); since then {3}"
    if fall.at_least_pa_m3_s > 0:
        told += ", at least {4}"
        rates.append(Amount(Quantity.LEAK_RATE, fall.at_least_pa_m3_s))
    return Phrase("late_onset", told + ".", (*when, *rates))


def bends() -> Phrase:
    """Say that the pressure fell more slowly, or rose, at first: a mean over the hold would hide a leak."""
    return Phrase(
        "pressure_bends",
        "The pressure held or rose at first and then fell faster. Hold again as long: the mean would hide a leak.",
    )


def step_not_known() -> Phrase:
    """Say that a gauge that showed one value, and of which nobody stated the step, proves nothing."""
    return Phrase(
        "step_not_known",
        "The gauge showed one value only and its step was not stated. State the step of the gauge.",
    )


def gross_on_coarse_gauge(certain_pa: float) -> Phrase:
    """Say that even a coarse gauge proves the loss.

    Parameters
    ----------
    certain_pa
        Fall of the pressure that is certain [Pa].

    Returns
    -------
    Phrase
        The deciding reason.

    Raises
    ------
    TypeError
        If the fall is not a number.
    """
    return Phrase(
        "gross_on_coarse_gauge",
        "The gauge is coarse, but at least {0} went: more than a leak of the limit takes.",
        (Amount(Quantity.PRESSURE_DIFFERENCE, certain_pa),),
    )


def soft_tube() -> Phrase:
    """Say that the fall looks like creep: a hint, not an outcome."""
    return Phrase(
        "soft_tube",
        "The fall looks like creep of soft tube. Hold on at pressure: creep halves each time the time doubles, "
        "a leak does not.",
    )


def blind(late: Late) -> Phrase:
    """Say what the hold cannot tell of a leak that starts late.

    Parameters
    ----------
    late
        What was looked for.

    Returns
    -------
    Phrase
        A remark.

    Raises
    ------
    TypeError
        If the time is not a number.
    """
    if not late.enough:
        return Phrase("too_few_for_late", "Two or three readings cannot tell when the gas went.")
    if late.blind_s is None:
        return Phrase("late_start_unseen", "These readings prove nothing against a leak that starts late.")
    return Phrase(
        "blind_time",
        f"The last {{0}} prove nothing finer than {TIMES_LIMIT:g} times the limit.",
        (Amount(Quantity.DURATION, late.blind_s),),
    )
