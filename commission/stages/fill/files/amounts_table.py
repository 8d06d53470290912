"""Every amount of coolant as one table of open data, at whichever stage it went in or out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.record.payload import kind_shown
from commission.record.table import COMMON, Column, Holds, Table
from commission.stages.fill.model.fill import Drain, Evaporation, Pour, Spill, SyringeOut, beside

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.table import Cell, Source

COLUMNS = (
    *COMMON,
    Column("what"),
    Column("bottle"),
    Column("volume_mL", Holds.NUMBER),
    Column("u_volume_mL", Holds.NUMBER),
    Column("into_loop_mL", Holds.NUMBER),
    Column("mass_g", Holds.NUMBER),
    Column("coolant_degC", Holds.NUMBER),
    Column("typed"),
    Column("note"),
)
"""Its columns; ``u_volume_mL`` is a standard uncertainty, ``into_loop_mL`` is below 0 for what went out."""


def amounts_tables(source: Source) -> Iterator[Table]:
    """Yield the table of amounts."""
    yield Table(name="amounts", columns=COLUMNS, rows=_rows(source))


def _rows(source: Source) -> Iterator[tuple[Cell, ...]]:
    for one in source.marked:
        payload = one.entry.payload
        for name in getattr(payload, "__struct_fields__", ()):
            moved = getattr(payload, name)
            if isinstance(moved, Pour | Drain | Spill | SyringeOut | Evaporation):
                bottle = moved.bottle.name if isinstance(moved, Pour | Spill) and moved.bottle else None
                millilitres = moved.dose.volume_m3 * 1e6
                into = millilitres if isinstance(moved, Pour) else 0.0 if beside(moved) else -millilitres
                mass_g = None if moved.dose.mass_kg is None else moved.dose.mass_kg * 1e3
                typed = "; ".join(part.typed for part in moved.dose.inputs)
                amount = (millilitres, moved.dose.u_volume_m3 * 1e6, into, mass_g, round(moved.dose.at_k - 273.15, 9))
                yield (*one.common, kind_shown(payload), bottle, *amount, typed, moved.note)
