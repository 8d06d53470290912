"""One row of a hold file or stream, read by its header."""

import re
from collections.abc import Sequence
from typing import Any

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.base.text import clean, clip, counted
from commission.instruments.text_lines import split_cells
from commission.stages.pressure_hold.files.cells import BOUNDS, instant, milliseconds, number
from commission.stages.pressure_hold.files.header import Column, Header, Role


class Sample(Frozen):
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


def sample_of(row: Row, typed: str) -> Sample:
    """Return a row with the names of its values."""
    elapsed, at_ms, pressure, air, barometer, note = row
    return Sample(
        elapsed_s=elapsed,
        at_ms=at_ms,
        pressure_pa=pressure,
        air_k=air,
        barometer_pa=barometer,
        note=note,
        typed=typed,
    )


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
            (i, _SLOT[c.role], c.factor, c.zero, *BOUNDS.get(c.role, (0.0, 0.0)))
            for i, c in enumerate(header.columns)
            if c.role is not Role.UNREAD
        )
        self._plain = re.compile(header.separator.join(map(_plain_cell, header.columns))).fullmatch
        self._decimals = [0] * len(header.columns)
        self._last: float | None = None
        self._last_line = 0

    def restart(self) -> None:
        """Forget what the next row must come after."""
        self._last = None

    @property
    def decimals(self) -> dict[Role, int]:
        """Most decimals seen in each column so far."""
        return {c.role: count for c, count in zip(self.header.columns, self._decimals, strict=True)}

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
                    row[slot] = milliseconds(cell)
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
        for i, slot, *_ in self._plan:
            column, cell = self.header.columns[i], cells[i]
            if column.role is Role.NOTE:
                row[slot] = clean(cell)
            elif column.role is Role.TIME:
                row[slot] = instant(cell, line)
            elif cell or slot not in _MAY_BE_EMPTY:
                row[slot], places = number(cell, column, self.header.separator, line)
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
    """Return a pattern for the usual form of a cell: a plain number, an instant, or no note.

    Its repeats are possessive, so that a line of blanks takes no longer than any other.
    """
    if column.role is Role.NOTE:
        return " *+()"
    if column.role is Role.UNREAD:
        return '[^",;]*+'
    if column.role is Role.TIME:
        return '([^",;]*+)'
    return r" *+([+-]?+[0-9]++(?:\.[0-9]++)?+)? *+"


def _ragged(cells: list[str], header: Header) -> str:
    count, wanted = len(cells), len(header.columns)
    said = f"the row has {counted(count, 'cell')} where the header has {wanted}"
    if header.separator == "," and count > wanted:
        return f"{said}; a decimal comma splits a number in two: use a point, or semicolons between the cells"
    other = ";" if header.separator == "," else ","
    if count == 1 and other in cells[0]:
        return f"{said}; separate its cells like those of the header"
    return f"{said}; fill in or leave empty what was not read, and remove what is too much"
