"""Readings of a soak from a file: a row a time, what is known of coolant and display in comment lines."""

import re

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.base.text import FreeLine, clip
from commission.instruments.header_row import in_our_headings
from commission.instruments.table_csv import Heading, Table, TableRow, number_of, read_table
from commission.instruments.text_lines import Source, split_cells
from commission.stages.thermal_soak.model import Named, SoakReading

_DEGREES = ("degC", "°C", "C")
COLUMNS = (
    Heading(name="elapsed", units=("s",)),
    Heading(name="air", units=_DEGREES),
    Heading(name="warm", units=_DEGREES, needed=False),
    Heading(name="cool", units=_DEGREES, needed=False),
    Heading(name="flow", units=("L/h", "l/h"), needed=False),
    Heading(name="load", units=("W",), needed=False),
)
"""Columns of a soak; beside them ``component NAME [degC]`` and ``duty NAME [%]``. An empty cell was not read."""
SETTINGS = ("coolant", "outcome")
"""Words before the colon of a comment line that set something."""
MOST_NAMED = 60
"""Most columns of components and duties [1]; our choice: several times what a board shows."""
ZERO_C = 273.15
_OWN = re.compile(r"(component|duty) ([^\s\[].{0,38}?)\s*(?:\[.*)?")
_NAMELESS = re.compile(r"(component|duty)\s*(\[.*)?")


class SoakFile(Frozen):
    """A soak as a file gives it."""

    readings: tuple[SoakReading, ...]
    """The readings in the order of the file."""
    coolant: str
    """What its comment line says of coolant and display; empty where it has none."""
    outcome: str
    """The outcome that it must give; for tests, never used to judge."""
    comments: tuple[FreeLine, ...] = ()
    """What its other comment lines say."""


def read_soak(source: Source, columns: str = "") -> SoakFile:
    r"""Return the soak that a file holds; ``columns`` says which is which where it has headings of its own.

    Raises
    ------
    FileError
        If anything in it cannot be read; one line that names line and field and what to do.

    Examples
    --------
    >>> rows = b"elapsed [s],warm [degC],air [degC],component cpu [degC]\n0,22.5,22,30\n60,24.1,22,55\n"
    >>> [round(reading.warm_k - 273.15, 1) for reading in read_soak(rows).readings]
    [22.5, 24.1]
    """
    lines = in_our_headings(source, columns)
    named = _named_headings(lines)
    table = read_table(lines, (*COLUMNS, *named), SETTINGS)
    if not {"warm", "cool"} & set(table.columns):
        raise FileError("the header lacks warm [degC] and cool [degC]; one of them is needed")
    return SoakFile(
        readings=tuple(_reading(row, table, named) for row in table.rows),
        coolant=table.setting("coolant"),
        outcome=table.setting("outcome"),
        comments=tuple(table.comments),
    )


def _named_headings(lines: list[str]) -> tuple[Heading, ...]:
    """Return the columns of components and duties that the header row names."""
    for number, text in enumerate(lines, 1):
        if not text.strip() or text.lstrip(' "').startswith("#"):
            continue
        cells = split_cells(text, ";" if ";" in text else ",", number)
        headings = [cell.strip().lower() for cell in cells]
        if (bare := next((found for one in headings if (found := _NAMELESS.fullmatch(one))), None)) is not None:
            whose = "component cpu [degC]" if bare[1] == "component" else "duty front [%]"
            raise FileError(f"{clip(bare[0])} does not say whose it is; head it such as {whose}", line=number)
        own = [found for one in headings if (found := _OWN.fullmatch(one)) is not None]
        if len(own) > MOST_NAMED:
            raise FileError(f"more than {MOST_NAMED} components and duties; keep those that matter", line=number)
        units = {"component": _DEGREES, "duty": ("%",)}
        return tuple(Heading(name=f"{one[1]} {one[2]}", units=units[one[1]], needed=False) for one in own)
    return ()


def _reading(row: TableRow, table: Table, named: tuple[Heading, ...]) -> SoakReading:
    def value(name: str, unit: str, low: float, high: float) -> float | None:
        text = row.cells.get(name, "")
        return number_of(text, line=row.line, name=name, unit=unit, low=low, high=high)[0] if text else None

    def kelvin(name: str) -> float | None:
        found = value(name, "degC", -20.0, 150.0)
        return None if found is None else found + ZERO_C

    elapsed, air = value("elapsed", "s", 0.0, 1e7), kelvin("air")
    if elapsed is None or air is None:
        raise FileError("time or air is empty; leave the row out", line=row.line)
    if kelvin("warm") is None and kelvin("cool") is None:
        raise FileError("warm and cool are both empty; leave the row out", line=row.line)
    flow = value("flow", "L/h", 0.0, 36_000.0)
    components, duties = [], []
    for heading in named:
        kind, _, name = heading.name.partition(" ")
        if kind == "component":
            found = kelvin(heading.name)
            components += [] if found is None else [Named(name=name, value=found)]
        else:
            found = value(heading.name, "%", 0.0, 100.0)
            duties += [] if found is None else [Named(name=name, value=found / 100)]
    return SoakReading(
        elapsed_s=elapsed,
        air_k=air,
        warm_k=kelvin("warm"),
        cool_k=kelvin("cool"),
        flow_m3_s=None if flow is None else flow / 3.6e6,
        load_w=value("load", "W", 0.0, 20_000.0),
        components=tuple(components),
        duties=tuple(duties),
    )
