"""One cell of a hold file: a number in the unit of its column, or an instant."""

import math
import re
from datetime import UTC, datetime, timedelta

from commission.base.errors import FileError, on_line
from commission.base.quantity import Quantity
from commission.base.text import clean, clip
from commission.stages.pressure_hold.files.header import Column, Role
from commission.units.number import LONGEST, split_number
from commission.units.plausible import SPAN
from commission.units.show import show

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.([0-9]+))?")
_RFC3339 = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}:[0-9]{2}(?:\.[0-9]{1,9})?(?:[Zz]|[+-][0-9]{2}:[0-9]{2})"
)
_NO_OFFSET = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)

BOUNDS: dict[Role, tuple[float, float]] = {
    Role.ELAPSED: (0.0, SPAN[Quantity.DURATION].high),
    Role.GAUGE: (SPAN[Quantity.GAUGE_PRESSURE].low, SPAN[Quantity.GAUGE_PRESSURE].high),
    Role.ABSOLUTE: (math.ulp(0.0), SPAN[Quantity.ABSOLUTE_PRESSURE].high),
    Role.AIR: (213.15, 373.15),  # wider than any workshop; catches kelvin or °F under a header of °C
    Role.BAROMETER: (3.0e4, 1.15e5),  # wider than from the highest summit to the lowest shore
}


def number(cell: str, column: Column, separator: str, line: int) -> tuple[float, int]:
    """Return a cell in SI, and its decimals as typed."""
    if len(cell) > LONGEST:
        raise FileError(f"{clip(cell)} is {len(cell)} characters long; is it a number?", line=line, field=column.role)
    plain = _NUMBER.fullmatch(cell)
    if plain is not None:
        value, decimals = float(cell), len(plain[1] or "")
    else:
        value, decimals = _other_number(cell, column, separator, line)
    si = value * column.factor + column.zero
    low, high = BOUNDS[column.role]
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
    with on_line(line, column.role):
        typed, rest = split_number(clean(cell))
    if rest:
        raise FileError(f"{clip(cell)} has {clip(rest)} after its number; {advice}", line=line, field=column.role)
    return typed.value, typed.decimals


def _outside(cell: str, si: float, column: Column) -> str:
    assert column.quantity is not None  # only columns of numbers have bounds
    if column.role is Role.ELAPSED:
        return f"{clip(cell)} is not a time after the start of the hold; count from 0"
    if column.role is Role.ABSOLUTE and si <= 0:
        return f"{clip(cell)} is an absolute pressure at or below 0; is the column gauge [{column.unit}]?"
    low, high = (show(b, column.quantity, unit=column.unit, digits=6) for b in BOUNDS[column.role])
    shown = show(si, column.quantity, unit=column.unit, digits=6)
    return f"{clip(cell)} is {shown}, outside {low} to {high}; check the number and the unit in the header"


def instant(cell: str, line: int) -> int:
    """Return milliseconds since 1970 from an RFC 3339 date and time."""
    at = milliseconds(cell)
    if at is not None:
        return at
    if _RFC3339.fullmatch(cell):
        raise FileError(f"{clip(cell)} is not a date in the calendar", line=line, field=Role.TIME)
    if not cell:
        raise FileError("the cell is empty; write when it was read", line=line, field=Role.TIME)
    lacks = "has no offset" if _NO_OFFSET.fullmatch(cell) else "is not a date and time with its offset"
    raise FileError(f"{clip(cell)} {lacks}; write it like 2031-05-04T18:30:00+02:00", line=line, field=Role.TIME)


def milliseconds(cell: str) -> int | None:
    """Return milliseconds since 1970 from an RFC 3339 date and time with its offset, or None from anything else."""
    if not _RFC3339.fullmatch(cell):
        return None
    try:
        at = (datetime.fromisoformat(cell.upper()) - _EPOCH) // _MILLISECOND
    except (ValueError, OverflowError):
        return None
    return at if at >= 0 else None
