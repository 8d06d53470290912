"""A frozen value laid out flat: its fields as columns, its lists as tables beside it.

A field's name is its column's. One whose name has no unit says it in ``UNITS`` of its class: ``"k"``; nothing for a
bare number; several, such as ``"gauge_pa pa"``, for a value that comes in one of them. A unit that stands at a field of
several figures, such as a value with its bounds, is that of each.
"""

import json
from collections.abc import Callable, Iterator
from enum import StrEnum
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin

from msgspec import structs

from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Phrase, Quantity
from commission.record.table import Cell, Column, Holds
from commission.units.show import say

PICTURE = "picture"
"""The field of a verdict that holds its curve, which is never stored."""

UNIT_OF: dict[Quantity, str] = {
    Quantity.GAUGE_PRESSURE: "gauge_pa",
    Quantity.ABSOLUTE_PRESSURE: "pa",
    Quantity.PRESSURE_DIFFERENCE: "pa",
    Quantity.TEMPERATURE: "k",
    Quantity.TEMPERATURE_DIFFERENCE: "k",
    Quantity.VOLUME: "m3",
    Quantity.LENGTH: "m",
    Quantity.DURATION: "s",
    Quantity.LEAK_RATE: "pa_m3_s",
    Quantity.ENERGY: "j",
    Quantity.MASS: "kg",
    Quantity.DENSITY: "kg_m3",
    Quantity.RATIO: "",
    Quantity.FLOW: "m3_s",
    Quantity.POWER: "w",
}
"""The unit of a typed value, as it ends a column's name."""

_PLAIN: dict[Any, Holds] = {str: Holds.TEXT, int: Holds.WHOLE, float: Holds.NUMBER, bool: Holds.YES_NO}

Cells = Callable[[Any], tuple[Cell, ...]]
"""The cells of a value, or of none."""


class Below(Frozen):
    """A list inside a value, which becomes a table of its own."""

    path: str
    """Its field, behind those that lead to it."""
    items: Callable[[Any], tuple[Any, ...]]
    """Its items, from the value or from none."""
    shape: "Shape"
    """How each of them is laid out."""


class Shape(Frozen):
    """How a value is laid out."""

    columns: tuple[Column, ...]
    """Its columns."""
    cells: Cells
    """What stands in them."""
    below: tuple[Below, ...]
    """Its lists."""


@cache
def shape_of(cls: type, unit: str = "") -> Shape:
    """Return how a frozen class is laid out; ``unit``: of its figures that have none."""
    columns: list[Column] = []
    readers: list[tuple[str, Cells]] = []
    below: list[Below] = []
    for field in structs.fields(cls):
        if field.name == PICTURE:
            continue
        own = getattr(cls, "UNITS", {}).get(field.name, unit)
        inner = _shape_at(field.name, field.type, own)
        columns += inner.columns
        readers.append((field.name, inner.cells))
        below += [_under(field.name, one) for one in inner.below]

    def cells(value: Any) -> tuple[Cell, ...]:
        return tuple(cell for name, read in readers for cell in read(None if value is None else _figure(value, name)))

    return Shape(columns=tuple(columns), cells=cells, below=tuple(below))


class _Figure(Frozen, kw_only=False):
    """A bare figure that comes in the unit of what it belongs to."""

    value: float
    unit: str


def _figure(owner: Any, name: str) -> Any:
    value = getattr(owner, name)
    several = " " in getattr(owner, "UNITS", {}).get(name, "")
    return _Figure(value, UNIT_OF[owner.quantity]) if several and isinstance(value, float) else value


def _under(name: str, one: Below) -> Below:
    path = one.path or name
    return Below(
        path=path if one.path == "" else f"{name}_{one.path}",
        items=lambda value: one.items(None if value is None else getattr(value, name)),
        shape=one.shape,
    )


def _shape_at(name: str, hint: Any, unit: str) -> Shape:
    """Return how a field is laid out, its name before each column."""
    if isinstance(hint, UnionType):
        (hint,) = [arg for arg in get_args(hint) if arg is not type(None)]
    if hint in _PLAIN or (isinstance(hint, type) and issubclass(hint, StrEnum)):
        return _leaf(name, _PLAIN.get(hint, Holds.TEXT), unit if hint is float else "")
    if hint is Measured:
        return _measured(name, unit)
    if hint is Phrase:
        column = Column(name)
        return Shape(columns=(column,), cells=lambda one: (None if one is None else say(one),), below=())
    if get_origin(hint) is tuple:
        return _list(name, get_args(hint)[0], unit)
    inner = shape_of(hint, unit)
    named = tuple(Column(f"{name}_{column.name}", column.holds) for column in inner.columns)
    return Shape(columns=named, cells=inner.cells, below=inner.below)


def _leaf(name: str, holds: Holds, unit: str) -> Shape:
    units = unit.split()
    if len(units) < 2:
        return Shape(columns=(Column("_".join((name, *units)), holds),), cells=lambda value: (_text(value),), below=())

    def cells(one: _Figure | None) -> tuple[Cell, ...]:
        return tuple(one.value if one is not None and one.unit == each else None for each in units)

    return Shape(columns=tuple(Column(f"{name}_{each}", holds) for each in units), cells=cells, below=())


def _text(value: Any) -> Cell:
    return str(value) if isinstance(value, StrEnum) else value


def _measured(name: str, unit: str) -> Shape:
    units = unit.split()

    def cells(one: Measured | None) -> tuple[Cell, ...]:
        if one is None:
            return (*(None for _ in units), None)
        return (*(one.si if UNIT_OF[one.quantity] == each else None for each in units), one.typed)

    columns = (*(Column(f"{name}_{each}", Holds.NUMBER) for each in units), Column(f"{name}_typed"))
    return Shape(columns=columns, cells=cells, below=())


def _list(name: str, item: Any, unit: str) -> Shape:
    """Return how a list is laid out: as a table of its own, or where its items are plain as JSON in one cell."""
    if isinstance(item, type) and issubclass(item, Frozen) and item not in (Measured, Phrase):
        here = Below(path="", items=lambda value: value or (), shape=shape_of(item, unit))
        return Shape(columns=(), cells=lambda _: (), below=(here,))

    def cells(value: tuple[Any, ...] | None) -> tuple[Cell, ...]:
        return (None if value is None else json.dumps(list(_plain(value)), ensure_ascii=False),)

    return Shape(columns=(Column(name),), cells=cells, below=())


def _plain(items: tuple[Any, ...]) -> Iterator[Cell]:
    for one in items:
        if isinstance(one, Phrase):
            yield say(one)
        else:
            yield one.typed if isinstance(one, Measured) else _text(one)
