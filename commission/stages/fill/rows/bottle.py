"""A bottle as a row: what is left in it as logged, and its label."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.card import Figure, raw
from commission.bench.figures import millilitres
from commission.stages.fill.model.coolant import Base
from commission.stages.fill.typed.bottle import told
from commission.stages.fill.work.fills import Fills

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.record.logbook import Logbook
    from commission.stages.fill.at_hand import CoolantAtHand
    from commission.stages.fill.model.coolant import Bottle

_WHAT = {
    Base.WATER: "distilled or deionised",
    Base.PROPYLENE_GLYCOL: "the label states its share",
    Base.ETHYLENE_GLYCOL: "poisonous: see the caution",
    Base.READY_MIX: "its data sheet states a density",
    Base.UNKNOWN: "no label: no fraction can be stated",
}
_NOTHING_M3 = 0.5e-6
"""Up to this a bottle is empty [m3]; our choice: half of the millilitre that is shown."""


def left_text(m3: float) -> str:
    """Return what is left as logged; a bottle that was filled above its size may seem to have given more.

    >>> left_text(0.25e-3), left_text(0.0), left_text(-10e-6)
    ('250 mL', 'empty', 'empty: 10 mL more than it held')
    """
    if m3 < -_NOTHING_M3:
        return f"empty: {millilitres(-m3)} more than it held"
    return millilitres(m3) if m3 > _NOTHING_M3 else "empty"


def bottle_row(book: Logbook, one: Bottle) -> Figure:
    """Return a bottle: its name, what is left of what it held, its label."""
    left_m3 = book.work(Fills).remaining_m3(one)
    return Figure(
        label=one.name,
        value=left_text(left_m3),
        bounds=f"{'left ' if left_m3 > _NOTHING_M3 else ''}of {millilitres(one.size_m3)}",
        remark=told(one, size=False),
        raw=raw("m3", left_m3),
    )


def bottles_left(hand: CoolantAtHand, bottles: Sequence[Bottle]) -> tuple[Figure, ...]:
    """Return a short row for each bottle beside the figures of a fill: what is left, and which is in hand."""
    in_hand = hand.bottle
    return tuple(
        Figure(
            label=f"left in {one.name}",
            value=left_text(hand.left_m3(one)),
            bounds="in hand" if in_hand is not None and one.bottle_id == in_hand.bottle_id else "",
        )
        for one in bottles
    )


def base_rows() -> tuple[Figure, ...]:
    """Return what a bottle may hold, numbered to choose from."""
    return tuple(Figure(label=f"{n}", value=str(base), remark=_WHAT[base]) for n, base in enumerate(Base, 1))
