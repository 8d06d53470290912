"""All tables of a record: those that join kinds, those of the stages, those of each kind, and a list of columns."""

from collections.abc import Iterator

from commission.record.face import Registry
from commission.record.table import Column, Source, Table
from commission.record.tables.joined import defects_table, entries_table, seats_table, verdicts_table
from commission.record.tables.kinds import kind_tables


def every_table(registry: Registry, source: Source) -> Iterator[Table]:
    """Yield every table; the last, ``columns``, names the columns of all others."""
    told: list[tuple[str, str, str]] = []
    for table in _tables(registry, source):
        told += [(table.name, column.name, str(column.holds)) for column in table.columns]
        yield table
    yield Table(name="columns", columns=(Column("table"), Column("column"), Column("holds")), rows=told)


def _tables(registry: Registry, source: Source) -> Iterator[Table]:
    yield entries_table(registry, source)
    yield verdicts_table(registry, source)
    yield defects_table(registry, source)
    yield seats_table(registry, source)
    for face in registry.faces:
        yield from face.tables(source)
    yield from kind_tables(registry, source)
