"""The header row of a hold file: which column is what, in which unit."""

import re
from enum import StrEnum

from commission.base.errors import FileError, on_line
from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.base.text import clean, clip
from commission.instruments.header_row import UNREAD
from commission.instruments.text_lines import split_cells
from commission.units.lookup import find_unit
from commission.units.registry import scale

KNOWN = "elapsed [s] or time, gauge [mbar] or absolute [kPa], air [degC], barometer [hPa], note"
"""The columns that are known, as a person would write them."""

_LONGEST_NAME = 100
_CELL = re.compile(r"([^\[\]]*?)\s*(?:\[\s*([^\[\]]*?)\s*\])?")


class Role(StrEnum):
    """What a column holds."""

    ELAPSED = "elapsed"
    TIME = "time"
    GAUGE = "gauge"
    ABSOLUTE = "absolute"
    AIR = "air"
    BAROMETER = "barometer"
    NOTE = "note"
    UNREAD = UNREAD


_QUANTITY = {
    Role.ELAPSED: Quantity.DURATION,
    Role.GAUGE: Quantity.GAUGE_PRESSURE,
    Role.ABSOLUTE: Quantity.ABSOLUTE_PRESSURE,
    Role.AIR: Quantity.TEMPERATURE,
    Role.BAROMETER: Quantity.ABSOLUTE_PRESSURE,
}
_EXAMPLE = {
    Role.ELAPSED: "elapsed [s]",
    Role.GAUGE: "gauge [mbar]",
    Role.ABSOLUTE: "absolute [kPa]",
    Role.AIR: "air [degC]",
    Role.BAROMETER: "barometer [hPa]",
}


class Column(Frozen):
    """One column."""

    role: Role
    """What it holds."""
    quantity: Quantity | None
    """What its numbers are; None for time and note."""
    unit: str
    """Its unit as shown; empty for time and note."""
    factor: float
    """SI units in one of it."""
    zero: float
    """SI value of its zero."""


class Header(Frozen):
    """The columns of a file in order."""

    columns: tuple[Column, ...]
    """Each column once."""
    separator: str
    """What stands between cells: a comma or a semicolon."""

    def column(self, role: Role) -> Column | None:
        """Return the column with this role, or None where the file has none."""
        return next((c for c in self.columns if c.role is role), None)

    @property
    def absolute(self) -> bool:
        """Whether the pressure is absolute."""
        return self.column(Role.ABSOLUTE) is not None

    @property
    def timed(self) -> bool:
        """Whether rows say when they were read."""
        return any(c.role in {Role.ELAPSED, Role.TIME} for c in self.columns)


def read_header(text: str, line: int) -> Header:
    """Return the columns that a header row names.

    Parameters
    ----------
    text
        The row.
    line
        Its number, for the message.

    Raises
    ------
    FileError
        If a column is not known, stands twice, lacks its unit or has one that is not its own, or if there is no
        pressure, or two.

    Examples
    --------
    >>> [column.unit for column in read_header("elapsed [min];gauge [psi];air [F]", 1).columns]
    ['min', 'psi', '°F']
    """
    separator = ";" if ";" in text else ","
    cells = split_cells(text, separator, line)
    columns = tuple(_column(cell, position, line) for position, cell in enumerate(cells, 1))
    roles = [column.role for column in columns]
    for role in roles:
        if roles.count(role) > 1 and role is not Role.UNREAD:
            raise FileError("the column stands twice; keep one", line=line, field=role)
    if Role.GAUGE in roles and Role.ABSOLUTE in roles:
        raise FileError("gauge and absolute pressure both stand; keep one", line=line, field=Role.ABSOLUTE)
    if Role.ELAPSED in roles and Role.TIME in roles:
        raise FileError("elapsed and time both stand; keep one", line=line, field=Role.TIME)
    if Role.GAUGE not in roles and Role.ABSOLUTE not in roles:
        raise FileError("no column holds the pressure; head one gauge [mbar] or absolute [kPa]", line=line)
    return Header(columns=columns, separator=separator)


def _column(cell: str, position: int, line: int) -> Column:
    found = _CELL.fullmatch(cell) if len(cell) <= _LONGEST_NAME else None
    name, unit = (found[1].strip().lower(), found[2]) if found else (cell, None)
    field = clean(cell)[:40] or f"column {position}"
    if name not in set(Role):
        raise FileError(_unknown(cell), line=line, field=field)
    role = Role(name)
    if role is Role.TIME and unit is not None:
        right = f"elapsed [{clean(unit)[:20]}]"
        raise FileError(f"time is a date and has no unit; a count is headed {right}", line=line, field=field)
    quantity = _QUANTITY.get(role)
    if quantity is None:
        if unit is not None:
            raise FileError("a note has no unit; head it note", line=line, field=field)
        return Column(role=role, quantity=None, unit="", factor=1.0, zero=0.0)
    if not unit:
        raise FileError(f"the column has no unit; head it with one, like {_EXAMPLE[role]}", line=line, field=field)
    with on_line(line, field):
        known = find_unit(unit, quantity)
    factor, zero = scale(known)
    return Column(role=role, quantity=quantity, unit=known.symbol, factor=factor, zero=zero)


def _unknown(cell: str) -> str:
    if not cell:
        return f"the column has no name; columns are {KNOWN}"
    if re.match(r"[+\-]?[0-9]", cell):
        return f"{clip(cell)} is a number where the header row must stand first; columns are {KNOWN}"
    if "\t" in cell:
        return f"tabs stand between the columns; put commas or semicolons there, columns are {KNOWN}"
    return f"the column is not known; columns are {KNOWN}"
