"""The sentences of a fill's verdict."""

from __future__ import annotations

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced
from commission.base.verdict import Bounded
from commission.physics.gas import ICE_POINT_K
from commission.stages.fill.model.coolant import Base, CoolantState
from commission.stages.fill.model.fill import FillProof

NOTHING_POURED = Phrase("nothing_poured", "Nothing has been added yet.")
"""Says that nothing was poured yet."""

NOTHING_EXPECTED = Phrase(
    "nothing_expected",
    "The loop's volume is not known, so the total proves nothing: list the parts, or measure it on air.",
)
"""Says that there is nothing to compare with."""

AMOUNT_UNKNOWN = Phrase(
    "amount_unknown",
    "How much ran out is not known. Read the level, or estimate it: spill {0} from filler.",
    (Amount(Quantity.VOLUME, 20e-6),),
)
"""Says that nobody knows how much is left. The amount is an example of a line; our choice: a small spill."""


SUPPLY_NOT_SAID = Phrase(
    "pump_supply_not_said",
    "What powers the pump is not said, so nobody knows whether the mains were out. Say it: supply own, or bridged.",
)
"""Says that a fill was poured without that word."""


def steps_not_done(steps: tuple[str, ...]) -> Phrase:
    """Return what a fill says of which steps are open.

    The amounts alone do not say that anybody looked for drips.

    Source: our choice.

    >>> steps_not_done(("first_fill", "look")).template
    'Steps of the fill are not done: first_fill, look. Do and record them; amounts alone are no pass.'
    """
    named = ", ".join(steps)
    return Phrase(
        "steps_open", f"Steps of the fill are not done: {named}. Do and record them; amounts alone are no pass."
    )


def volume(m3: float) -> Amount:
    """Return a volume for a sentence; rounding is left to the screen."""
    return Amount(Quantity.VOLUME, m3)


def proof_phrase(proof: FillProof, missing: Bounded, u_m3: float) -> Phrase:
    """Say what the difference between expected and filled volume proves.

    A negative difference is shown as it is: clipping it at nothing would hide a wrong volume.

    Source: JCGM 106:2012 for the one-sided bounds.

    >>> from commission.units.show import say
    >>> open_ = Bounded(value=42e-6, lower95=-13e-6, upper95=97e-6)
    >>> say(proof_phrase(FillProof.CANNOT_TELL, open_, 34e-6))
    "Expected less filled is 42 mL ± 34 mL: can't tell whether air is left. At most 97 mL are missing."
    """
    amounts = (volume(missing.value), volume(u_m3))
    if proof is FillProof.MISSING:
        return Phrase(
            "some_is_missing",
            "Expected less filled is {0} ± {1}: at least {2} are still air, at most {3}.",
            (*amounts, volume(missing.lower95), volume(missing.upper95)),
        )
    if proof is FillProof.TOO_MUCH:
        return Phrase(
            "more_than_fits",
            ("{0} ± {1} more went in than the loop holds. Look for a leak first; then check amounts and loop volume."),
            (volume(-missing.value), volume(u_m3)),
        )
    return Phrase(
        "cannot_tell_air",
        "Expected less filled is {0} ± {1}: can't tell whether air is left. At most {2} are missing.",
        (*amounts, volume(max(missing.upper95, 0.0))),
    )


def overdrawn(lacking_m3: float) -> Phrase:
    """Say that more came out than went in.

    An amount is missing in the log, or was typed wrong.

    Source: balance of mass.
    """
    return Phrase(
        "more_out_than_in",
        "{0} more came out than went in: an amount is missing or wrong. Withdraw it, or add what was forgotten.",
        (volume(lacking_m3),),
    )


def against_limit(within: bool | None, missing: Bounded, limit_m3: float) -> Phrase:
    """Say how the missing volume stands to the limit; ``within``: None where that cannot be told.

    What helps most is a measured volume of the loop.
    """
    if within:
        return Phrase(
            "enough_to_bleed",
            "At most {0} missing; up to {1} is fine.",
            (volume(max(missing.upper95, 0.0)), volume(limit_m3)),
        )
    if within is None:
        return Phrase(
            "volume_too_uncertain",
            "Up to {0} may be missing; the limit is {1}. Measure the loop's volume on air, or weigh what goes in.",
            (volume(missing.upper95), volume(limit_m3)),
        )
    return Phrase(
        "too_much_missing",
        "At least {0} missing; up to {1} is fine: go on filling.",
        (volume(missing.lower95), volume(limit_m3)),
    )


def coolant_phrase(coolant: CoolantState, freezing_k: float | None) -> Phrase | None:
    """Say what is in the loop; None for an empty loop.

    Names that people typed lose their braces, which would stand for amounts.

    >>> from commission.units.show import say
    >>> say(coolant_phrase(CoolantState(base=Base.PROPYLENE_GLYCOL, glycol_kg=0.3, total_kg=1.0), 260.36))
    'In the loop: propylene glycol, 30 % by mass; ice forms below -12.79 °C.'
    """
    if coolant.base is None:
        return None
    fraction = coolant.mass_fraction
    if fraction is None:
        why = braced(coolant.why or "not known")
        return Phrase("no_fraction", f"No fraction can be stated: {why}. Only a label, or a hydrometer, tells more.")
    if coolant.base is Base.WATER:
        freezes = Amount(Quantity.TEMPERATURE, ICE_POINT_K)
        return Phrase(
            "plain_water", "In the loop: water, which freezes at {0}. Keep the computer from frost.", (freezes,)
        )
    shown = (Amount(Quantity.RATIO, fraction),)
    if freezing_k is None:
        return Phrase(
            "fraction_beyond_data",
            f"In the loop: {coolant.base}, {{0}} by mass, richer than published data go: add water.",
            shown,
        )
    return Phrase(
        "mixture",
        f"In the loop: {coolant.base}, {{0}} by mass; ice forms below {{1}}.",
        (*shown, Amount(Quantity.TEMPERATURE, freezing_k)),
    )


def contraction_phrase(contraction_m3: float) -> Phrase | None:
    """Say that mixing took some volume away; None below 1 mL.

    A litre each of glycol and water make 20 to 40 mL less than two litres.

    Source: ``physics.mixing``.

    >>> contraction_phrase(1e-7) is None
    True
    """
    if contraction_m3 < 1e-6:
        return None
    return Phrase(
        "contracted_on_mixing",
        "Mixing took {0} away: glycol and water together need less room than apart.",
        (volume(contraction_m3),),
    )


def once_too_much(m3: float) -> Phrase:
    """Say that more went in than the loop takes, and that it is told to have come out again.

    >>> once_too_much(336e-6).template[:33]
    'For a while {0} more was in than '
    """
    said = "For a while {0} more was in than the loop holds. Check the amounts, and look for damp first."
    return Phrase("once_too_much", said, (Amount(Quantity.VOLUME, m3),))
