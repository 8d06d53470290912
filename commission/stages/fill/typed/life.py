"""How long a coolant may stay in a loop, by its label, as it is typed and told."""

import re

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.base.text import clip, counted
from commission.units.parse import parse

LIFE = "24 months"
"""Life of a coolant as it is typed."""
MONTH_S = 2_629_800.0
"""A month [s]: a twelfth of the Julian year of 365.25 days. Source: International Astronomical Union."""
NOTHING = ("none", "no", "nothing", "-")
"""Words for nothing."""
_BARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_LONG = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*(months?|years?)", re.IGNORECASE)


def months_of(text: str) -> float | None:
    """Return how many months a text such as ``2 years`` is [1]; None where it is in no months or years."""
    found = _LONG.fullmatch(text.strip())
    if found is None:
        return None
    return float(found[1].replace(",", ".")) * (12 if found[2].casefold().startswith("year") else 1)


def read_life(text: str) -> tuple[float | None, str]:
    """Return how long a coolant may stay in [s], and the text; None where the bottle states none.

    Raises
    ------
    InputError
        If it is no length of time.

    Examples
    --------
    >>> read_life("2 years")[0] == read_life("24 months")[0], read_life("none")
    (True, (None, ''))
    """
    typed = " ".join(text.split())
    if typed.casefold() in (*NOTHING, "not stated"):
        return None, ""
    months = months_of(typed)
    if months is not None:
        return months * MONTH_S, typed
    if typed[:1] in ("-", "\N{MINUS SIGN}"):
        raise InputError(f"{clip(typed)} is below 0; type such as {LIFE}, or none")
    if not any(sign.isdigit() for sign in typed):
        raise InputError(f"{clip(typed)} is no length of time; type such as {LIFE}, or none")
    refuse_bare(typed, LIFE)
    return parse(typed, Quantity.DURATION).si, typed


def refuse_bare(typed: str, such: str) -> None:
    """Raise InputError where a time has no unit: nobody knows whether months or days were meant."""
    if _BARE.fullmatch(typed):
        raise InputError(f"{clip(typed)} of what? Type its unit, such as {such}")


def every_text(seconds: float) -> str:
    """Return how often something is due, or how long it lasts.

    >>> every_text(90 * 86400), every_text(31_557_600)
    ('90 days', '12 months')
    """
    months = seconds / MONTH_S
    if months >= 6 and abs(months - round(months)) < 0.01:
        return counted(round(months), "month")
    return counted(round(seconds / 86400), "day")
