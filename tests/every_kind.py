"""An entry of any kind with a text that means harm in each of its texts, and something in each of its lists."""

from enum import StrEnum
from typing import Any

from commission.base.quantity import Quantity
from tests.hints import fields_of, item_of, optional_of

HOSTILE = '=HYPERLINK("http://x")\r\n+1,"a\';\x00\u202e</td>'
"""A formula, an end of a row, a quotation mark, a control sign, a sign that turns the reading direction."""


def hostile(hint: Any) -> Any:
    """Return a value of a stored type with the hostile text in each of its texts, and an item in each of its lists."""
    if hint in (str, int, float, bool):
        return {str: HOSTILE, int: -3, float: -2.5, bool: True}[hint]
    if (inner := optional_of(hint)) is not None:
        return hostile(inner)
    if (item := item_of(hint)) is not None:
        return (hostile(item),)
    if hint is Quantity:
        return Quantity.VOLUME
    if issubclass(hint, StrEnum):
        return next(iter(hint))
    return hint(**{name: hostile(inner) for name, inner, _ in fields_of(hint)})
