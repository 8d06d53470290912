"""One reading of a soak as a person types it: names before their numbers, in any order."""

import re
from collections.abc import Sequence

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.stages.thermal_soak.model import Named, SoakReading
from commission.stages.thermal_soak.work.refused import LONGEST_NAME
from commission.units.chosen import bare_unit
from commission.units.lookup import find_unit
from commission.units.number import parted
from commission.units.parse import parse
from commission.units.show import show
from commission.units.tables import BY_SPELLING
from commission.units.worded import worded

EXAMPLE = "warm 36.2 cool 34.5 air 22 cpu 71 flow 200 L/h load 400 W fans 50 %"
"""A reading as it is typed."""
_BARE = re.compile(r"(?<= )([0-9.]+)(?= [a-z])")
_NUMBER = re.compile(r"[+\-−]?[0-9]")
_AFTER_A_PART = re.compile(r"[,;](?=\s|$)")
_BARE_OF = {"flow": (Quantity.FLOW, "L/h"), "load": (Quantity.POWER, "W")}
"""What a bare number behind these names is, and its house unit."""
_NEVER_BARE = ("fan", "fans", "pump", "duty")
_NEAR = 0.75
"""Likeness from which on a name is taken for a slip [1], by difflib; our choice: two letters of warm swapped."""
_SIDES = {"warm": "warm_k", "cool": "cool_k", "air": "air_k"}
_WATCHED = (Quantity.TEMPERATURE, Quantity.FLOW, Quantity.POWER, Quantity.RATIO, Quantity.DURATION)


def example() -> str:
    """Return a reading as it is typed here: bare temperatures in the unit that a bare number has."""
    unit = find_unit(bare_unit(Quantity.TEMPERATURE, "°C"), Quantity.TEMPERATURE).symbol

    def bare(found: re.Match[str]) -> str:
        kelvin = parse(found[1], Quantity.TEMPERATURE, usual="°C").si
        return show(kelvin, Quantity.TEMPERATURE, unit=unit, digits=3).partition(" ")[0]

    return worded(_BARE.sub(bare, EXAMPLE))


def read_reading(text: str, now_s: float, chains: Sequence[str] = ()) -> SoakReading:
    """Return the reading of a line such as ``warm 36.2 cool 34.5 air 22 cpu 71 flow 200 L/h load 400 W fans 50 %``.

    Parameters
    ----------
    text
        Each number behind its name. A number without a unit is a temperature, in degrees Celsius where nobody chose
        others, behind flow L/h and behind load W; ``after 12 min`` says when it was, if not now.
    now_s
        Time since the soak began [s].
    chains
        Names of chains, each taken as it is, with a number in it too.

    Raises
    ------
    InputError
        If a word or number cannot be understood, one thing is typed twice, or air or coolant is missing.

    Examples
    --------
    >>> one = read_reading("warm 36 cool 34 air 22 cpu 71 load 400 W pump 100 %", 600.0)
    >>> one.elapsed_s, one.load_w, [part.name for part in (*one.components, *one.duties)]
    (600.0, 400.0, ['cpu', 'pump'])
    """
    values: dict[str, float] = {}
    components: list[Named] = []
    duties: list[Named] = []
    for name, number, unit in _groups(parted(_AFTER_A_PART.sub(" ", text)), chains):
        quantity, si = _value(name, number, unit)
        key = _key(name, quantity)
        if key is not None:
            if key in values:
                raise InputError(f"{name or key} stands twice; type it once")
            values[key] = si
        else:
            _refuse_slip(name, number, unit)
            (components if quantity is Quantity.TEMPERATURE else duties).append(Named(name=name, value=si))
    if "air_k" not in values:
        raise InputError(f"type the air at the intake too, such as: {example()}")
    if not {"warm_k", "cool_k"} & set(values):
        raise InputError(
            f"type the coolant too: warm on its way to the radiators, cool from them, such as: {example()}"
        )
    return SoakReading(
        elapsed_s=round(values.get("elapsed_s", now_s), 1),
        air_k=values["air_k"],
        warm_k=values.get("warm_k"),
        cool_k=values.get("cool_k"),
        flow_m3_s=values.get("flow_m3_s"),
        load_w=values.get("load_w"),
        components=tuple(components),
        duties=tuple(duties),
        typed=text.strip(),
    )


def _groups(words: list[str], chains: Sequence[str]) -> list[tuple[str, str, str]]:
    """Part words into name, number and unit."""
    known = sorted(((parted(one), one.casefold()) for one in chains), key=lambda one: len(one[0]), reverse=True)
    found: list[tuple[str, str, str]] = []
    name: list[str] = []
    at = 0
    while at < len(words):
        chain = None if name else next((one for one in known if _stands(one[0], words, at)), None)
        if chain is not None:
            name, at = [chain[1]], at + len(chain[0])
        word = words[at]
        at += 1
        if not _NUMBER.match(word):
            name.append(word.casefold().rstrip(":=,"))
            continue
        unit = _unit(words, at)
        at += len(unit)
        found.append((" ".join(name), word, " ".join(unit)))
        name = []
    if name:
        raise InputError(f"{clip(' '.join(name))} has no number behind it; type such as: {example()}")
    if not found:
        raise InputError(f"type a reading, such as: {example()}")
    return found


def _stands(chain: list[str], words: list[str], at: int) -> bool:
    """Return whether the name of a chain stands there, and a number with a percent sign behind it."""
    end = at + len(chain)
    return " ".join(words[at:end]).casefold() == " ".join(chain).casefold() and "%" in words[end + 1 : end + 2]


def _unit(words: list[str], at: int) -> list[str]:
    for length in (2, 1):
        unit = words[at : at + length]
        if len(unit) == length and any(" ".join(unit) in BY_SPELLING[quantity] for quantity in _WATCHED):
            return unit
    return []


def _refuse_slip(name: str, number: str, unit: str) -> None:
    """Raise InputError where a part was hardly meant: a slip in warm or cool, or a duty without its percent."""
    from difflib import get_close_matches

    if not unit and name.rsplit(maxsplit=1)[-1] in _NEVER_BARE:
        raise InputError(f"{name} {number} of what? Type its unit: {name} {number} %, or {name} {number} degC")
    near = get_close_matches(name, (*_SIDES, *_BARE_OF, "after"), n=1, cutoff=_NEAR)
    if near and near[0] != name:
        raise InputError(f"{clip(name)}: was {near[0]} meant? Type that; a part needs a name less like it")


def _value(name: str, number: str, unit: str) -> tuple[Quantity, float]:
    if not unit and name in _BARE_OF:
        quantity, house = _BARE_OF[name]
        return quantity, parse(number, quantity, usual=bare_unit(quantity, house)).si
    quantity = next((one for one in _WATCHED if unit in BY_SPELLING[one]), Quantity.TEMPERATURE)
    if len(name) > LONGEST_NAME:
        raise InputError(f"{clip(name)} is too long a name; {LONGEST_NAME} characters are the most")
    return quantity, parse(
        f"{number} {unit}".strip(), quantity, usual=bare_unit(Quantity.TEMPERATURE, "°C") if not unit else None
    ).si


def _key(name: str, quantity: Quantity) -> str | None:
    """Return which field a named value is; None for a component or a chain."""
    match quantity:
        case Quantity.DURATION:
            if name != "after":
                raise InputError(f"a time stands behind after, such as after 12 min; {name or 'this one'} has one")
            return "elapsed_s"
        case Quantity.FLOW:
            return "flow_m3_s"
        case Quantity.POWER:
            return "load_w"
        case Quantity.TEMPERATURE if name in _SIDES:
            return _SIDES[name]
        case _ if not name or name in _SIDES:
            raise InputError(f"which part is meant? type its name before the number, such as: {example()}")
        case _:
            return None
