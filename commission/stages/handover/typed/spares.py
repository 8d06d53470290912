"""Spare parts and the bottle that go along, and a time within which something is due, as they are typed."""

import re

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.stages.fill.typed.life import MONTH_S, NOTHING, months_of, refuse_bare
from commission.stages.handover.entries import SparesNamed
from commission.units.parse import parse

SPARES = "two seals, a fan"
"""Spare parts as they are typed; the bottle behind them is one of the record, never one of an example."""
MOST_MONTHS = 1200
"""Longest time ahead that is asked for [months]; our choice: a hundred years outlast every machine."""
_BOTTLE = re.compile(r"(?:^|[;,]\s*)bottle\b\s*:?\s*(.*)$", re.IGNORECASE)
_LEADING = ("help", "details", "units", "end", "done", "next", "back", "builds", "record", "report")


def read_spares(text: str) -> SparesNamed:
    """Return what a line such as ``two seals, a fan; bottle clear premix`` names; ``none`` names nothing.

    Raises
    ------
    InputError
        If nothing is typed.

    Examples
    --------
    >>> read_spares("two seals, a fan; bottle clear premix").bottle
    'clear premix'
    >>> read_spares("none").spares
    ()
    """
    body = " ".join(text.split())
    if not body:
        raise InputError(f"type the spare parts that go along, such as {SPARES}; bottle and its name; or none")
    found = _BOTTLE.search(body)
    bottle = "" if found is None else found[1].strip()
    rest = body if found is None else body[: found.start()]
    spares = tuple(part for each in re.split(r"[,;]", rest) if (part := each.strip()))
    if len(spares) == 1 and spares[0].casefold() in NOTHING:
        spares = ()
    return SparesNamed(spares=spares, bottle="" if bottle.casefold() in NOTHING else bottle)


def refuse_word(text: str) -> None:
    """Raise InputError where an answer in free text is a word that leads elsewhere, so that it is never stored.

    Examples
    --------
    >>> refuse_word("end caps, two")
    """
    head, _, rest = " ".join(text.casefold().split()).partition(" ")
    if head in _LEADING and not rest:
        raise InputError(f"{clip(text.strip())} is a word of this program, and no answer here; Esc leaves the question")


def read_within(text: str) -> float:
    """Return a time in which something is due [s], such as ``30d`` or ``3 months``.

    Raises
    ------
    InputError
        If it is no length of time, or beyond 100 years.
    """
    months = months_of(text)
    if months is None:
        refuse_bare(text.strip(), "30d or 3 months")
        return parse(text, Quantity.DURATION, low=0.0).si
    if months > MOST_MONTHS:
        raise InputError(f"{clip(text)} is longer than 100 years; type such as 30d or 3 months")
    return months * MONTH_S
