"""A table for every kind of entry, and one for each list in it."""

from collections.abc import Iterator

from commission.record.entries import ProcedureAdopted
from commission.record.face import Registry
from commission.record.payload import Payload
from commission.record.table import COMMON, Cell, Column, Holds, Marked, Source, Table
from commission.record.tables.flat import Below, Shape, shape_of


def kind_tables(registry: Registry, source: Source) -> Iterator[Table]:
    """Yield the tables of all kinds that the program knows, in the order of the job; one without entries has no row."""
    of: dict[type, list[Marked]] = {}
    for one in source.marked:
        of.setdefault(type(one.entry.payload), []).append(one)
    for kind in registry.kinds.values():
        yield from _tables(kind, of.get(kind, []))


def table_name(kind: type[Payload]) -> str:
    """Return the name of the table of a kind: its word in the log."""
    return kind.KIND.replace(" ", "_").replace("-", "_")


def _tables(kind: type[Payload], marked: list[Marked]) -> Iterator[Table]:
    name, shape = table_name(kind), shape_of(kind)
    rows = ((*one.common, *shape.cells(one.entry.payload)) for one in marked)
    yield Table(name=name, columns=(*COMMON, *_apart(name, shape.columns)), rows=rows)
    if kind is not ProcedureAdopted:
        for below in shape.below:
            yield from _lists(name, below, [(one.common, one.entry.payload) for one in marked], COMMON)


def _apart(name: str, columns: tuple[Column, ...]) -> Iterator[Column]:
    """Yield columns, with the table's name before one that every table has already."""
    taken = {column.name for column in COMMON}
    for column in columns:
        yield Column(f"{name}_{column.name}", column.holds) if column.name in taken else column


def _lists(
    name: str, below: Below, values: list[tuple[tuple[Cell, ...], object]], keys: tuple[Column, ...]
) -> Iterator[Table]:
    """Yield the table of a list and of the lists in it; each row begins with the keys of what holds it."""
    shape: Shape = below.shape
    numbered = (*keys, Column("n" if len(keys) == len(COMMON) else f"n{len(keys) - len(COMMON) + 1}", Holds.WHOLE))
    items = [((*key, number), item) for key, value in values for number, item in enumerate(below.items(value), 1)]
    own = f"{name}__{below.path}"
    rows = ((*key, *shape.cells(item)) for key, item in items)
    yield Table(name=own, columns=(*numbered, *shape.columns), rows=rows)
    for deeper in shape.below:
        yield from _lists(own, deeper, items, numbered)
