"""A typed line about a filter: its name and the widest gap."""

from commission.base.errors import InputError
from commission.base.quantity import Quantity


def read_filter(text: str) -> tuple[str, float]:
    """Return the name and the gap [m] of a line such as ``front 0.8 mm``."""
    from commission.units.parse import parse

    name, _, gap = text.strip().partition(" ")
    if not name or not gap:
        raise InputError("type the name of a filter and its widest gap, such as: front 0.8 mm")
    return name, parse(gap, Quantity.LENGTH).si
