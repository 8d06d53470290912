"""One row of a hold file or stream, read by its header."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from commission.domain.errors import FileError, UnitError
from commission.domain.quantity import Quantity
from commission.domain.text import clean, clip
from commission.instruments.hold_header import Column, Header, Role, split_cells
from commission.units.number import split_number
from commission.units.plausible import SPAN
from commission.units.show import show

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.([0-9]+))?")
_RFC3339 = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}:[0-9]{2}(?:\.[0-9]{1,9})?(?:[Zz]|[+-][0-9]{2}:[0-9]{2})"
)
_NO_OFFSET = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)

_BOUNDS: dict[Role, tuple[float, float]] = {
    Role.ELAPSED: (0.0, SPAN[Quantity.DURATION].high),
    Role.GAUGE: (SPAN[Quantity.GAUGE_PRESSURE].low, SPAN[Quantity.GAUGE_PRESSURE].high),
    Role.ABSOLUTE: (math.ulp(0.0), SPAN[Quantity.ABSOLUTE_PRESSURE].high),
    Role.AIR: (213.15, 373.15),  # wider than any workshop; catches kelvin or °F under a header of °C
    Role.BAROMETER: (3.0e4, 1.15e5),  # wider than from the highest summit to the lowest shore
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One row, in SI."""

    elapsed_s: float | None
    """Time since the hold began [s]; None where the row has no such column."""
    at_ms: int | None
    """When it was read, milliseconds since 1970-01-01 00:00 UTC; None where the row has no such column."""
    pressure_pa: float
    """Gauge or absolute pressure, as the header says [Pa]."""
    air_k: float | None
    """Air temperature [K]; None where it was not read."""
    barometer_pa: float | None
    """Barometer [Pa]; None where it was not read."""
    note: str
    """Free text with hidden characters made visible; empty where there is none."""
    typed: str
    """The row as it came."""


Row = list[Any]
"""Elapsed [s], instant [ms], pressure [Pa], air [K], barometer [Pa], note: a `Sample` without its names."""

_SLOT = {
    Role.ELAPSED: 0,
    Role.TIME: 1,
    Role.GAUGE: 2,
    Role.ABSOLUTE: 2,
    Role.AIR: 3,
    Role.BAROMETER: 4,
    Role.NOTE: 5,
}
_AT = _SLOT[Role.TIME]


class RowReader:
    """Reads rows under one header and remembers what the next row must come after.

    Parameters
    ----------
    header
        The columns.
    """

    def __init__(self, header: Header) -> None:
        self.header = header
        self._plan = tuple(
            (i, _SLOT[c.role], c.factor, c.zero, *_BOUNDS.get(c.role, (0.0, 0.0))) for i, c in enumerate(header.columns)
        )
        self._plain = re.compile(header.separator.join(map(_plain_cell, header.columns))).fullmatch
        self._decimals = [0] * len(header.columns)
        self._last: float | None = None
        self._last_line = 0

    @property
    def decimals(self) -> dict[Role, int]:
        """Most decimals seen in each column so far."""
        return {c.role: count for c, count in zip(self.header.columns, self._decimals, strict=True)}

    def read(self, text: str, line: int) -> Sample | None:
        """Return a row as a sample, or None where all its cells are empty; see `values`."""
        row = self.values(text, line)
        if row is None:
            return None
        elapsed, at_ms, pressure, air, barometer, note = row
        return Sample(
            elapsed_s=elapsed,
            at_ms=at_ms,
            pressure_pa=pressure,
            air_k=air,
            barometer_pa=barometer,
            note=note,
            typed=text,
        )

    def values(self, text: str, line: int) -> Row | None:
        """Return the values of a row, or None where all its cells are empty.

        Parameters
        ----------
        text
            The row without its line end.
        line
            Its number, for the message.

        Raises
        ------
        FileError
            If a cell cannot be read, is out of bounds, or the time does not move on. The reader stays usable.
        """
        plain = self._plain(text)
        decimals = self._decimals.copy()
        row = None if plain is None else self._quickly(plain.groups(), decimals)
        if row is None:
            cells = self._split(text, line)
            if cells is None:
                return None
            row = self._carefully(cells, decimals, line)
        now = row[0] if row[1] is None else row[1]
        if now is not None:
            if self._last is not None and now <= self._last:
                raise self._not_later(now, text, line)
            self._last, self._last_line = now, line
        self._decimals = decimals
        return row

    def _quickly(self, cells: Sequence[str | None], decimals: list[int]) -> Row | None:
        """Read a row of plain numbers; None where a cell needs a closer look. 86,400 rows pass here."""
        row: Row = [None, None, None, None, None, ""]
        for (i, slot, factor, zero, low, high), cell in zip(self._plan, cells, strict=True):
            if cell:
                if slot == _AT:
                    row[slot] = _milliseconds(cell)
                    if row[slot] is None:
                        return None
                    continue
                si = float(cell) * factor + zero
                if not low <= si <= high:
                    return None
                row[slot] = si
                point = cell.find(".")
                if point >= 0 and len(cell) - point - 1 > decimals[i]:
                    decimals[i] = len(cell) - point - 1
            elif slot not in _MAY_BE_EMPTY:
                return None
        return row

    def _carefully(self, cells: Sequence[str], decimals: list[int], line: int) -> Row:
        row: Row = [None, None, None, None, None, ""]
        for (i, slot, *_), column, cell in zip(self._plan, self.header.columns, cells, strict=True):
            if column.role is Role.NOTE:
                row[slot] = clean(cell)
            elif column.role is Role.TIME:
                row[slot] = _instant(cell, line)
            elif cell or slot not in _MAY_BE_EMPTY:
                row[slot], places = _number(cell, column, self.header.separator, line)
                decimals[i] = max(decimals[i], places)
        return row

    def _split(self, text: str, line: int) -> Sequence[str] | None:
        cells = split_cells(text, self.header.separator, line)
        if not any(cells):
            return None
        if len(cells) != len(self.header.columns):
            raise FileError(_ragged(cells, self.header), line=line)
        return cells

    def _not_later(self, now: float, text: str, line: int) -> FileError:
        position = next(i for i, c in enumerate(self.header.columns) if c.role in {Role.ELAPSED, Role.TIME})
        cell = split_cells(text, self.header.separator, line)[position]
        how = "is the same as" if now == self._last else "is before"
        return FileError(
            f"{clip(cell)} {how} the time in line {self._last_line}; each row must be later",
            line=line,
            field=self.header.columns[position].role,
        )


_MAY_BE_EMPTY = {_SLOT[Role.AIR], _SLOT[Role.BAROMETER], _SLOT[Role.NOTE]}


def _plain_cell(column: Column) -> str:
    """Return a pattern for the usual form of a cell: a plain number, an instant, or no note."""
    if column.role is Role.NOTE:
        return " *()"
    if column.role is Role.TIME:
        return ' *([^",;]*?) *'
    return r" *([+-]?[0-9]+(?:\.[0-9]+)?)? *"


def _number(cell: str, column: Column, separator: str, line: int) -> tuple[float, int]:
    """Return a cell in SI, and its decimals as typed."""
    plain = _NUMBER.fullmatch(cell)
    if plain is not None:
        value, decimals = float(cell), len(plain[1] or "")
    else:
        value, decimals = _other_number(cell, column, separator, line)
    si = value * column.factor + column.zero
    low, high = _BOUNDS[column.role]
    if not low <= si <= high:
        raise FileError(_outside(cell, si, column), line=line, field=column.role)
    return si, decimals


def _other_number(cell: str, column: Column, separator: str, line: int) -> tuple[float, int]:
    """Read what is not a plain decimal number: an exponent, a decimal comma, or a mistake."""
    advice = f"the number alone goes here, in {column.unit}"
    if not cell:
        raise FileError(f"the cell is empty; {advice}", line=line, field=column.role)
    if separator == "," and "," in cell:
        raise FileError(
            f"{clip(cell)} has a comma; use a decimal point, or semicolons between the cells",
            line=line,
            field=column.role,
        )
    if cell.lower().startswith(column.role):
        raise FileError("the header stands here again; one file is one hold", line=line, field=column.role)
    try:
        number, rest = split_number(clean(cell))
    except UnitError as error:
        raise FileError(f"{error}", line=line, field=column.role) from error
    if rest:
        raise FileError(f"{clip(cell)} has {clip(rest)} after its number; {advice}", line=line, field=column.role)
    return number.value, number.decimals


def _outside(cell: str, si: float, column: Column) -> str:
    assert column.quantity is not None  # only columns of numbers have bounds
    if column.role is Role.ELAPSED:
        return f"{clip(cell)} is not a time after the start of the hold; count from 0"
    if column.role is Role.ABSOLUTE and si <= 0:
        return f"{clip(cell)} is an absolute pressure at or below 0; is the column gauge [{column.unit}]?"
    low, high = (show(b, column.quantity, unit=column.unit, digits=6) for b in _BOUNDS[column.role])
    shown = show(si, column.quantity, unit=column.unit, digits=6)
    return f"{clip(cell)} is {shown}, outside {low} to {high}; check the number and the unit in the header"


def _instant(cell: str, line: int) -> int:
    """Return milliseconds since 1970 from an RFC 3339 date and time."""
    at = _milliseconds(cell)
    if at is not None:
        return at
    if _RFC3339.fullmatch(cell):
        raise FileError(f"{clip(cell)} is not a date in the calendar", line=line, field=Role.TIME)
    if not cell:
        raise FileError("the cell is empty; write when it was read", line=line, field=Role.TIME)
    lacks = "has no offset" if _NO_OFFSET.fullmatch(cell) else "is not a date and time with its offset"
    raise FileError(f"{clip(cell)} {lacks}; write it like 2031-05-04T18:30:00+02:00", line=line, field=Role.TIME)


def _milliseconds(cell: str) -> int | None:
    if not _RFC3339.fullmatch(cell):
        return None
    try:
        at = (datetime.fromisoformat(cell.upper()) - _EPOCH) // _MILLISECOND
    except (ValueError, OverflowError):
        return None
    return at if at >= 0 else None


def _ragged(cells: list[str], header: Header) -> str:
    count, wanted = len(cells), len(header.columns)
    said = f"the row has {count} cell{'s' if count > 1 else ''} where the header has {wanted}"
    if header.separator == "," and count > wanted:
        return f"{said}; a decimal comma splits a number in two: use a point, or semicolons between the cells"
    other = ";" if header.separator == "," else ","
    if count == 1 and other in cells[0]:
        return f"{said}; separate its cells like those of the header"
    return f"{said}; fill in or leave empty what was not read, and remove what is too much"
