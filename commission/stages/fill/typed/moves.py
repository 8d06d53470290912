"""What a line moves into or out of the loop, told back with its mass and the new total before it is stored."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.bench.deed import Deed, numbered
from commission.bench.figures import millilitres, millilitres_good_to
from commission.procedure.stage_ids import FILL
from commission.stages.fill.model.coolant import Bottle
from commission.stages.fill.model.fill import (
    Dose,
    Drain,
    Evaporation,
    Movement,
    Pour,
    Spill,
    SyringeOut,
    TypedAmount,
    Way,
)
from commission.stages.fill.typed.amount import dose_of, read_amount
from commission.stages.fill.work.fills import Fills, liquid_of
from commission.units.show import show
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.physics.loop_volume import Uncertain
    from commission.stages.fill.at_hand import CoolantAtHand
    from commission.stages.fill.judge.liquid import Liquid

OUT = ("spill", "drain", "draw", "lost")
"""Words of what leaves the loop."""

_SAID = {
    "spill": "spilled",
    "drain": "drained out of the loop",
    "draw": "drawn off with a syringe",
    "lost": "of water lost",
}
_PLACES = {
    "beside": ("beside", "beside the filler"),
    "filler": ("from filler", "from the filler", "out of the filler", "filler"),
    "loop": ("from loop", "out of loop", "out of the loop", "loop", "from joint", "joint"),
}
"""Where a spill came from, as it may be typed."""
_LEAK = "what left the loop by itself is a leak: type leak"
LEFT_BY_ITSELF = f"{_LEAK}; what ran out of the open filler is: spill 20 mL from filler"
"""Says that a drip is no spill: it takes the worth of the hold, which a spill does not."""


def pour_deed(hand: "CoolantAtHand", text: str) -> Deed:
    """Return what pouring an amount from the bottle in hand does.

    Raises
    ------
    InputError
        If the amount cannot be understood or cannot have come from the bottle.
    """
    from commission.stages.fill.judge.dose import check_against_bottle

    bottle = hand.bottle_in_hand
    amount = read_amount(text, degrees=hand.degrees)
    at_k, at = hand.temperature(amount.at)
    pour = movement_of(hand, "pour", amount, at_k, bottle=bottle, note=amount.note)
    check_against_bottle(pour.dose, hand.left_m3(bottle))
    return move_deed(hand, pour, f"{bottle.name}: {dose_text(pour.dose)} at {at}")


def out_deed(hand: "CoolantAtHand", word: str, text: str, *, stage: str = FILL) -> Deed:
    """Return what taking an amount out of the loop does, or spilling it beside the filler.

    Raises
    ------
    InputError
        If the amount cannot be understood.
    """
    text, place = _where(text)
    text, into = _into(text) if word == "drain" else (text, "")
    way = Way.ESTIMATED if word in ("spill", "lost") else Way.VOLUME
    amount = read_amount(text, way=way, degrees=hand.degrees)
    if len(amount.values) > 1:
        raise InputError(worded(f"type one amount after {word}, such as {word} 20 mL"))
    at_k, at = hand.temperature(amount.at)
    beside = _beside(hand, place) if word == "spill" else None
    movement = movement_of(hand, word, amount, at_k, bottle=beside, note=amount.note)
    if isinstance(movement, Drain):
        movement = replace(movement, into=into_named(hand, into))
    said = f"{dose_text(movement.dose)} {_SAID[word]}"
    said += f" into {movement.into}" if isinstance(movement, Drain) and movement.into else ""
    if isinstance(movement, Spill):
        said += f" beside the filler, of {movement.bottle.name}" if movement.bottle else " out of the open filler"
    if stage != FILL and beside is None:
        at += "; the fill must then be judged again"
    return move_deed(hand, movement, f"{said} at {at}", stage=stage)


def _where(text: str) -> tuple[str, str]:
    """Part a place from the end of an amount; empty where none was typed."""
    body, mark, note = text.partition("#")
    stripped = body.strip()
    for place, words in _PLACES.items():
        for word in words:
            if stripped.casefold().endswith(f" {word}"):
                return f"{stripped[: -len(word)].strip()}{f' {mark}{note}' if mark else ''}", place
    return text, ""


def _into(text: str) -> tuple[str, str]:
    """Part where drained coolant went from the end of an amount, such as ``into red can``; empty where nobody said."""
    body, mark, note = text.partition("#")
    amount, word, place = body.partition(" into ")
    return (f"{amount}{f' {mark}{note}' if mark else ''}", " ".join(place.split())) if word else (text, "")


def into_named(hand: "CoolantAtHand", place: str) -> str:
    """Return where drained coolant went: a bottle under its own name, any other place as typed."""
    bottles = hand.book.work(Fills).bottles
    return next((one.name for one in bottles if one.name.casefold() == place.casefold()), place)


def _beside(hand: "CoolantAtHand", place: str) -> Bottle | None:
    """Return the bottle that was spilled of beside the filler; None where it came out of the open filler.

    Raises
    ------
    InputError
        If it left the loop by itself, which is a leak, or nobody said where it came from.
    """
    if place == "loop":
        raise InputError(worded(LEFT_BY_ITSELF))
    if place == "filler":
        return None
    bottle = _just_poured(hand)
    if bottle is None:
        raise InputError(f"where from? Only after an amount it is beside the filler; else type from filler; {_LEAK}")
    return bottle


def movement_of(
    hand: "CoolantAtHand", word: str, typed: TypedAmount, at_k: "Uncertain", *, bottle: Bottle | None, note: str
) -> Movement:
    """Return what moves, however it was typed.

    Parameters
    ----------
    hand
        The build as last read.
    word
        ``pour``, or one of OUT.
    at_k
        Temperature of the liquid [K].
    bottle
        What is poured from or spilled of beside the filler; None where it comes out of the loop.
    note
        What the builder added.

    Raises
    ------
    InputError
        If the amount makes no sense.
    NotAllowed
        If it comes out of the loop and nothing is in it.
    """
    from commission.stages.fill.judge.liquid import WATER

    def dose(liquid: "Liquid") -> Dose:
        return dose_of(typed, liquid, at_k, hand.book.procedure(hand.state).stage(FILL))

    if word == "lost":
        return Evaporation(dose=dose(WATER), note=note)
    if bottle is not None:
        measured = dose(liquid_of(bottle))
        return (
            Pour(bottle=bottle, dose=measured, note=note)
            if word == "pour"
            else Spill(bottle=bottle, dose=measured, note=note)
        )
    measured = dose(hand.book.work(Fills).liquid_in(hand.state))
    match word:
        case "spill":
            return Spill(dose=measured, note=note)
        case "drain":
            return Drain(dose=measured, note=note)
        case _:
            return SyringeOut(dose=measured, note=note)


def _just_poured(hand: "CoolantAtHand") -> Bottle | None:
    """Return the bottle of the last movement, where that was a pour: what is spilled then is spilled of it."""
    last = hand.coolant.movements[-1] if hand.coolant.moves else None
    return last.bottle if isinstance(last, Pour) else None


def dose_text(dose: Dose) -> str:
    """Return an amount with its uncertainty, and its mass where that was weighed.

    >>> dose_text(Dose(way=Way.WEIGHED, volume_m3=250e-6, at_k=293.15, u_reading_m3=0, u_shared_m3=5e-6, mass_kg=0.25))
    '250 mL ± 10 mL, 250 g'
    """
    value, error = millilitres_good_to(dose.volume_m3, dose.u_volume_m3)
    weighed = dose.way is Way.WEIGHED and dose.mass_kg is not None
    return f"{value} {error}{f', {show(dose.mass_kg or 0.0, Quantity.MASS)}' if weighed else ''}"


def moved_text(movement: Movement) -> str:
    """Return what was moved, in a few words."""
    amount = millilitres(movement.dose.volume_m3)
    match movement:
        case Pour(bottle=bottle):
            return f"{amount} from {bottle.name}"
        case Spill():
            return f"{amount} spilled"
        case Drain():
            return f"{amount} drained"
        case SyringeOut():
            return f"{amount} drawn off"
        case Evaporation():
            return f"{amount} of water lost"


def move_deed(hand: "CoolantAtHand", movement: Movement, told: str, *, stage: str = FILL) -> Deed:
    """Return what moving coolant does, told in the words given, with what is in the loop then."""
    total = millilitres(hand.total_with(movement))
    note = f' · note "{movement.note}"' if movement.note else ""
    return numbered(
        f"{told} · then in: {total}{note}",
        lambda: hand.book.work(Fills).move(hand.build_id, movement, stage=stage),
        answer=f"{told} · now in: {total}{note}",
    )
