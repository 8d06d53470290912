"""How warm a component may get, as it is typed: its name, the temperature, and where that stands."""

import re

from commission.base.errors import InputError
from commission.base.quantity import Measured, Quantity
from commission.base.text import clip
from commission.units.chosen import bare_unit
from commission.units.parse import parse
from commission.units.tables import BY_SPELLING
from commission.units.worded import worded

EXAMPLE = "cpu 90 degC, data sheet"
"""A limit as it is typed."""
_LINE = re.compile(r"(?P<name>.*?)[ :=]+(?P<number>[0-9]+(?:[.,][0-9]+)?)(?![0-9A-Za-z.])(?P<rest>.*)", re.DOTALL)


def read_limit(text: str) -> tuple[str, Measured, str]:
    """Return component, temperature and source of a line such as ``cpu 90 degC, data sheet``.

    Raises
    ------
    InputError
        If one of the three is missing, or the temperature cannot be read.

    Examples
    --------
    >>> name, most, source = read_limit("GPU memory 95 degC, data sheet")
    >>> name, round(most.si, 2), source
    ('gpu memory', 368.15, 'data sheet')
    """
    found = _LINE.fullmatch(text.strip())
    if found is None or not found["name"].strip():
        such = f"type the component, its temperature and where that stands: {worded(EXAMPLE)}"
        raise InputError(f"{clip(text)} is no limit; {such}" if text.strip() else such)
    words = found["rest"].split()
    unit = words.pop(0).rstrip(",;") if words and words[0].rstrip(",;") in BY_SPELLING[Quantity.TEMPERATURE] else ""
    usual = None if unit else bare_unit(Quantity.TEMPERATURE, "°C")
    most = parse(f"{found['number']} {unit}".strip(), Quantity.TEMPERATURE, usual=usual)
    return " ".join(found["name"].casefold().split()), most, " ".join(words).strip(" ,;")
