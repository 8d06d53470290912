"""A bottle as one line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.shell.console import ascii_only
from commission.shell.shown import shown
from commission.stages.fill.model.coolant import Bottle
from commission.stages.fill.work.fills import Fills

if TYPE_CHECKING:
    from commission.record.logbook import Logbook


def bottle_line(book: Logbook, one: Bottle) -> str:
    """Return a bottle's label and what is left in it."""
    from commission.stages.fill.text import bottle_text

    left = max(book.work(Fills).remaining_m3(one), 0.0)
    return f"{bottle_text(one, ascii_only=ascii_only())}; left: {shown(left, Quantity.VOLUME)}"
