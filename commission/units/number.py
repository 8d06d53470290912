"""The strict grammar of a typed number: sign, digits, one decimal comma or point, an optional power of ten."""

import math
import re
import unicodedata

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.text import clean, clip

LONGEST = 200
"""Longest text that is read as a value [characters]."""
_GLUED = re.compile(r"([+\-−]?[0-9]+(?:[.,][0-9]+)?)([^0-9.,].*)")
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")
_MINUS = str.maketrans("−", "-")
_NUMBER = re.compile(
    r"(?P<sign>[+\-−]?)(?P<whole>[0-9]+)(?:(?P<mark>[.,])(?P<part>[0-9]+))?"
    r"(?:[eE](?P<power>[+\-−]?[0-9]+)"
    r"| ?[×x*] ?10(?:\^(?P<caret>[+\-−]?[0-9]+)|(?P<raised>[⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)))?"
)
_GROUPED = re.compile(r"[+\-−]?[0-9]{1,3}(?:[ '’_.,][0-9]{3})+(?![0-9])")
_SECOND = re.compile(r"(?:^|\s)[+\-−]?[.,]?[0-9]")


class Number(Frozen):
    """A typed number."""

    value: float
    """What it is."""
    grouped: float | None
    """What it is if its comma groups thousands (``1,200``); None where it cannot."""
    decimals: int
    """Digits after the decimal sign, less the power of ten."""


def readable(text: str) -> str:
    """Return the text without outer blanks, or raise `InputError` if it holds nothing or what nobody can type."""
    stripped = text.strip(" \u00a0")
    if not stripped:
        raise InputError("nothing was typed; type a number and its unit")
    if len(stripped) > LONGEST:
        raise InputError(f"{clip(stripped)} is {len(stripped)} characters long; type one number and its unit")
    if clean(stripped) != stripped:
        raise InputError(f"{clip(stripped)} holds characters that cannot be seen; type it again")
    return stripped.replace("\u00a0", " ").replace("\u202f", " ").replace("\u2009", " ")


def split_number(text: str) -> tuple[Number, str]:
    """Return the number at the start of the text and what follows it.

    Parameters
    ----------
    text
        Text from `readable`.

    Returns
    -------
    tuple
        The number, and the rest without outer blanks: a unit or nothing.

    Raises
    ------
    InputError
        If there is no number, digits are grouped, or a second number follows.

    Examples
    --------
    >>> number, rest = split_number("497,5 mbar")
    >>> number.value, rest
    (497.5, 'mbar')
    """
    found = _NUMBER.match(text)
    if found is None:
        raise InputError(_no_number(text))
    rest = text[found.end() :]
    if (rest and rest[0] in ".,'’_/") or _SECOND.search(rest):
        raise InputError(_broken(text, rest))
    whole = found["whole"]
    if len(whole) > 1 and whole.startswith("0"):
        raise InputError(
            f"{clip(text)} starts with a needless 0; leave it out, and type all digits of a number together"
        )
    return _value(text, found), rest.strip()


def _value(text: str, found: re.Match[str]) -> Number:
    whole, part = found["whole"], found["part"] or ""
    power = (found["power"] or found["caret"] or (found["raised"] or "0").translate(_RAISED)).translate(_MINUS)
    sign = "-" if found["sign"] in {"-", "−"} else ""
    value = float(f"{sign}{whole}.{part or '0'}e{power}")
    if not math.isfinite(value):
        raise InputError(f"{clip(text)} is too large to be a reading; check its digits")
    if value == 0 and (whole + part).strip("0"):
        raise InputError(f"{clip(text)} is too small to be told from 0; check its power of ten")
    exponent = max(-LONGEST, min(LONGEST, int(power[:5])))
    could_group = found["mark"] == "," and len(part) == 3 and len(whole) <= 3 and whole != "0" and power == "0"
    return Number(
        value=value + 0.0,
        grouped=float(f"{sign}{whole}{part}") if could_group else None,
        decimals=len(part) - exponent,
    )


def _no_number(text: str) -> str:
    quoted = clip(text)
    if text.lstrip("+-−").lower().startswith(("nan", "inf", "∞")):
        return f"{quoted} is not a number that can be read off an instrument; type digits, such as 0.5"
    if any(unicodedata.category(c).startswith("N") and not c.isascii() for c in text):
        return f"{quoted} is not written with the digits 0 to 9; type it with those"
    if re.match(r"[+\-−]?[.,][0-9]", text):
        return f"{quoted} has no digit before its decimal sign; type 0{text.lstrip('+-−')[:12]} if that is meant"
    if text[0] in "±":
        return f"{quoted} has no value before its ±; type the value first, such as 1.2 L ± 5 %"
    return f"{quoted} does not start with a number; type a number and its unit"


def _broken(text: str, rest: str) -> str:
    quoted = clip(text)
    grouped = _GROUPED.match(text)
    if grouped and (rest[0] in " '’_" or len(re.findall(r"[.,'’_ ]", grouped[0])) > 1):
        return f"{quoted} groups its digits; type them together, such as {re.sub(r'[^0-9+-]', '', grouped[0])}"
    if rest[0] in ".," and not rest[1:2].isdigit():
        return f"{quoted} has no digit after its decimal sign; type {text[: -len(rest)]}{rest[1:]} if that is meant"
    fraction = re.match(r"([0-9]{1,3})/([1-9][0-9]{0,2})(?![0-9/])", text)
    if fraction:
        value = f"{int(fraction[1]) / int(fraction[2]):.6g}"
        return f"{quoted} is a fraction; type {value}{text[fraction.end() :]} if that is meant"
    if rest[0] == "/":
        return f"{quoted} has a / after its number; type one number and its unit"
    if rest[0] in ".,'’_":
        return f"{quoted} has more than one separator in its number; type one decimal point or comma and no groups"
    return f"{quoted} holds more than one number; type one number and its unit"


def parted(text: str) -> list[str]:
    """Return the words of a line, numbers and units that were typed without a blank parted.

    >>> parted("CPU 4pin 2A 0,25 A")
    ['CPU', '4', 'pin', '2', 'A', '0,25', 'A']
    """
    words: list[str] = []
    for word in text.split():
        glued = _GLUED.fullmatch(word)
        words += [glued[1], glued[2]] if glued else [word]
    return words
