"""An amount of coolant as a wet hand types it, and volume and mass that it means.

It is a volume, a weight, two weights, or two marks on the bottle.
"""

import re
from typing import TYPE_CHECKING

from commission.base.errors import InputError, in_words
from commission.base.quantity import Measured, Quantity
from commission.base.text import clip
from commission.bench.ask import command
from commission.physics.detection import rectangular_uncertainty
from commission.procedure.model import Stage
from commission.stages.fill.model.fill import GUESSED, MARK, Dose, TypedAmount, Way
from commission.units.number import readable, split_number
from commission.units.parse import parse, parse_or_zero, parse_with_uncertainty
from commission.units.tables import BY_SPELLING
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.physics.loop_volume import Uncertain
    from commission.stages.fill.judge.liquid import Liquid

_WAYS = {"weighed": Way.WEIGHED, "marks": Way.LEVEL, "about": Way.ESTIMATED}
AMOUNT_WORDS = {
    "weighed": "weighed 1184.6 531.2 g: the bottle on the scales before and after",
    "marks": "marks 900 300 mL: the marks on the bottle before and after",
    "about": "about 250 mL: an amount that is only estimated",
}
"""Words that an amount may begin with."""
_TEMP = re.compile(r"(?:^|\s)(?:temp|at)\s+([^#]*)$")
_STARTS = re.compile(r"(?:^|(?<=\s))[+\-−]?[.,]?[0-9]")


class Amount(TypedAmount):
    """An amount as a line gave it."""

    note: str = ""
    """What followed the #."""


def read_amount(text: str, *, way: Way = Way.VOLUME, degrees: str | None = None) -> Amount:
    """Return the amount that a line means.

    Parameters
    ----------
    text
        ``250 mL``, ``250 mL ± 5 mL``, ``653,4 g``, ``weighed 1184,6 531,2 g``, ``marks 900 300 mL``, with
        ``temp 22 degC`` and a note after ``#`` behind it.
    way
        How a single volume was measured where no word says so.
    degrees
        Unit of a bare temperature.

    Raises
    ------
    InputError
        If it cannot be read; the message says what to type.

    Examples
    --------
    >>> [round(value.si, 6) for value in read_amount("marks 900 300 mL").values]
    [0.0009, 0.0003]
    """
    body, _, note = text.partition("#")
    body, at = _temperature(body, degrees)
    word, rest = command(body, AMOUNT_WORDS)
    if word in ("weighed", "marks"):
        quantity = Quantity.MASS if word == "weighed" else Quantity.VOLUME
        values = two_values(rest, quantity, word)
        return Amount(way=_WAYS[word], values=values, at=at, note=note.strip())
    value, u = _one(rest)
    if value.quantity is Quantity.MASS:
        way = Way.WEIGHED
    elif word:
        way = _WAYS[word]
    return Amount(way=way, values=(value,), u=u, at=at, note=note.strip())


def _temperature(body: str, degrees: str | None) -> tuple[str, Measured | None]:
    found = _TEMP.search(body)
    if found is None:
        return body.strip(), None
    return body[: found.start()].strip(), parse(found[1], Quantity.TEMPERATURE, usual=degrees)


def _one(text: str) -> tuple[Measured, float | None]:
    """Return a single volume or weight with the uncertainty that was typed."""
    if not text:
        raise InputError(worded("type how much, such as 250 mL, or weighed 1184.6 531.2 g"))
    readable_text = readable(text)
    if "±" not in readable_text and "+-" not in readable_text and "+/-" not in readable_text:
        if len(_STARTS.findall(readable_text)) > 1:
            raise InputError(
                f"{clip(text)} holds two numbers: weighed and two weights, marks and two marks, or one amount"
            )
        unit = split_number(readable_text)[1]
        if not unit:
            raise InputError(f"{clip(text)} of what? {text} mL, {text} US fl oz, or weighed: {text} g; type the unit")
        if unit == "oz":
            number = text.removesuffix("oz").strip()
            raise InputError(
                f"{clip(text)}: a weight or a volume? type weighed {text}, {number} US fl oz or {number} imp fl oz"
            )
        if unit in BY_SPELLING[Quantity.MASS]:
            return parse(text, Quantity.MASS), None
        return parse(text, Quantity.VOLUME), None
    before = re.split(r"±|\+/-|\+-", readable_text)[-1]
    unit = readable(before).lstrip("0123456789., ")
    is_mass = unit in BY_SPELLING[Quantity.MASS] or split_number(readable_text.split("±")[0].strip())[1] == "g"
    return parse_with_uncertainty(text, Quantity.MASS if is_mass else Quantity.VOLUME)


def two_values(text: str, quantity: Quantity, what: str) -> tuple[Measured, ...]:
    """Return one or two values of a quantity; a unit behind the second holds for both.

    Raises
    ------
    InputError
        If there are none, more than two, or no unit.
    """
    starts = [found.start() for found in _STARTS.finditer(text)]
    example = "weighed 1184.6 531.2 g" if quantity is Quantity.MASS else worded(f"{what} 900 300 mL")
    if not starts or text[: starts[0]].strip():
        raise InputError(f"type what was read before and after, such as {example}")
    if len(starts) > 2:
        raise InputError(f"{clip(text)} holds {len(starts)} numbers; two are wanted, before and after: {example}")
    pieces = [text[start:end].strip() for start, end in zip(starts, [*starts[1:], len(text)], strict=True)]
    unit = split_number(readable(pieces[-1]))[1]
    if not unit:
        raise InputError(f"{clip(text)} has no unit; type it behind, such as {example}")
    if len(pieces) == 1 and quantity is Quantity.VOLUME:
        raise InputError(f"{what} needs two marks, before and after, such as {example}")
    first = [piece if split_number(readable(piece))[1] else f"{piece} {unit}" for piece in pieces]
    return tuple(parse_or_zero(piece, quantity) for piece in first)


@in_words()
def dose_of(typed: TypedAmount, liquid: "Liquid", at_k: "Uncertain", stage: Stage) -> Dose:
    """Return volume and mass of an amount with their uncertainties.

    Raises
    ------
    InputError
        If it makes no sense.
    """
    from commission.physics.loop_volume import Uncertain
    from commission.stages.fill.judge.dose import dose_by_level, dose_by_volume, dose_by_weight

    inputs = (*typed.values, *((typed.at,) if typed.at else ()))
    first = typed.values[0].si
    second = typed.values[1].si if len(typed.values) > 1 else 0.0
    if typed.way is Way.WEIGHED:
        u = stage.limit("scale_u_kg") if typed.u is None else typed.u / 2**0.5
        return dose_by_weight(liquid, Uncertain(first, u), Uncertain(second, u), at_k, inputs=inputs)
    if typed.way is Way.LEVEL:
        u = rectangular_uncertainty(MARK * first)
        return dose_by_level(
            liquid, Uncertain(first, u), Uncertain(second, u), at_k, scale_u=stage.limit("cup_u"), inputs=inputs
        )
    guessed = typed.way is Way.ESTIMATED
    u = rectangular_uncertainty((GUESSED if guessed else MARK) * first) if typed.u is None else typed.u
    cup = 0.0 if guessed or typed.u is not None else stage.limit("cup_u")
    return dose_by_volume(liquid, Uncertain(first, u), at_k, cup_u=cup, way=typed.way, inputs=inputs)
