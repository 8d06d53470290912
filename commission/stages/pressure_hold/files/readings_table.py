"""The readings of all holds as one table of open data: typed ones and streamed ones, in the units of a bench."""

from __future__ import annotations

import heapq
from typing import TYPE_CHECKING

from commission.base.quantity import Measured, Quantity
from commission.record.machine.instrument import InstrumentKind
from commission.record.table import COMMON, Column, Holds, Table, instant
from commission.stages.pressure_hold.entries import HoldStarted, ReadingTaken, RowWithdrawn
from commission.stages.pressure_hold.state.attempt import timed

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.record.table import Cell, Marked, Source

_NUMBERS = ("elapsed_s", "gauge_mbar", "absolute_mbar", "air_degC", "barometer_hPa")

COLUMNS = (
    *COMMON,
    Column("attempt", Holds.WHOLE),
    *(Column(name, Holds.NUMBER) for name in _NUMBERS),
    Column("came"),
    Column("text"),
)
"""Its columns; ``came`` is ``typed`` or ``streamed``, and a streamed reading has the entry that began its hold."""


def readings_tables(source: Source) -> Iterator[Table]:
    """Yield the table of readings."""
    yield Table(name="readings", columns=COLUMNS, rows=_rows(source))


def _rows(source: Source) -> Iterator[tuple[Cell, ...]]:
    starts = [(one, one.entry.payload) for one in source.of_kind(HoldStarted)]
    for begun, started in starts:
        assert isinstance(started, HoldStarted)  # asked for above
        again = (one.entry.seq for one, other in starts if one.build == begun.build and _same(started, other))
        end = min((seq for seq in again if seq > begun.entry.seq), default=None)
        typed = [
            one
            for one in source.of_kind(ReadingTaken)
            if one.entry.build == begun.entry.build and _of(one, started.attempt, begun.entry.seq, end)
        ]
        absolute = started.plan.gauge.kind is InstrumentKind.ABSOLUTE_GAUGE
        streamed = _streamed(source, begun, started, absolute=absolute)
        yield from heapq.merge(_typed(begun, typed), streamed, key=_elapsed)


def _same(started: HoldStarted, other: object) -> bool:
    return isinstance(other, HoldStarted) and other.attempt == started.attempt


def _of(one: Marked, attempt: int, begun: int, end: int | None) -> bool:
    reading = one.entry.payload
    assert isinstance(reading, ReadingTaken)  # asked for by the caller
    return reading.attempt == attempt and begun < one.entry.seq and (end is None or one.entry.seq < end)


def _elapsed(row: tuple[Cell, ...]) -> float:
    return float(row[len(COMMON) + 1] or 0.0)


def _typed(begun: Marked, typed: Iterable[Marked]) -> list[tuple[Cell, ...]]:
    rows: list[tuple[Cell, ...]] = []
    for one in typed:
        reading = one.entry.payload
        assert isinstance(reading, ReadingTaken)  # asked for by the caller
        elapsed = timed(begun.entry, one.entry, reading).elapsed.elapsed_s
        pressure = reading.pressure
        absolute = pressure is not None and pressure.quantity is Quantity.ABSOLUTE_PRESSURE
        parts = [part for part in (pressure, reading.air, reading.barometer) if part is not None]
        text = " ".join((*(part.typed for part in parts), *([reading.note] if reading.note else [])))
        cells = _cells(_si(pressure), _si(reading.air), _si(reading.barometer), absolute=absolute)
        rows.append((*one.common, reading.attempt, elapsed, *cells, "typed", text))
    return sorted(rows, key=_elapsed)


def _si(part: Measured | None) -> float | None:
    return None if part is None else part.si


def _streamed(source: Source, begun: Marked, started: HoldStarted, *, absolute: bool) -> Iterator[tuple[Cell, ...]]:
    entry, withdrawn, build, _ = begun.common
    offset = begun.entry.mark.offset_min
    gone = dict(_rows_gone(source, begun, started.attempt))
    for number, row in enumerate(source.samples(started.series), 1):
        elapsed, wall_ms, pressure, air, barometer, text = row
        cells = _cells(pressure, air, barometer, absolute=absolute)
        yield (
            entry,
            gone.get(number, withdrawn),
            build,
            instant(wall_ms, offset),
            started.attempt,
            elapsed,
            *cells,
            "streamed",
            text,
        )


def _rows_gone(source: Source, begun: Marked, attempt: int) -> Iterator[tuple[int, int]]:
    """Yield the place of each row that was withdrawn, and the number of the entry that did so."""
    for one in source.of_kind(RowWithdrawn):
        row = one.entry.payload
        assert isinstance(row, RowWithdrawn)  # asked for above
        if (one.build, row.attempt) == (begun.build, attempt) and one.entry.seq > begun.entry.seq:
            yield row.number, one.entry.seq


def _cells(
    pressure_pa: float | None, air_k: float | None, barometer_pa: float | None, *, absolute: bool
) -> tuple[float | None, float | None, float | None, float | None]:
    mbar = None if pressure_pa is None else pressure_pa / 100.0
    # what the conversion adds at the end is cut off: no display has a billionth of a degree
    air = None if air_k is None else round(air_k - 273.15, 9)
    barometer = None if barometer_pa is None else barometer_pa / 100.0
    return (None, mbar, air, barometer) if absolute else (mbar, None, air, barometer)
