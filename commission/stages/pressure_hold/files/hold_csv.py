"""A whole hold from a file: readings as columns, settings, notes, and the steps of the displays."""

import math
from array import array

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.base.text import LONGEST_NOTE, as_notes
from commission.instruments.steps import step_of
from commission.instruments.text_lines import Source, numbered_lines
from commission.stages.pressure_hold.files.header import Column, Header, Role
from commission.stages.pressure_hold.files.rows import Row, Sample
from commission.stages.pressure_hold.files.settings import Comment, HoldSettings
from commission.stages.pressure_hold.files.stream import HoldStream
from commission.stages.pressure_hold.model import HoldSeries
from commission.units.show import show

__all__ = ["HoldFile", "HoldSettings", "HoldStream", "Sample", "read_hold"]

MOST_ROWS = 2_000_000
"""Most rows that are read; three weeks at one a second."""

MOST_NOTES = 10_000
"""Most rows with a note; our choice: notes are for what a person saw."""

_LOW_PA = 500.0
"""A hold that never shows more than this is likely headed with the wrong unit [Pa]; our choice: below it no hold
tests anything."""


class HoldFile(Frozen):
    """One hold as a file gives it."""

    series: HoldSeries
    """The readings."""
    absolute: bool
    """Whether the pressure is absolute."""
    unit: str
    """Unit of the pressure column, as shown."""
    settings: HoldSettings
    """What its comment lines give."""
    notes: tuple[tuple[float, str], ...]
    """Notes with the time of their row [s]."""
    head: tuple[str, ...]
    """Free comment lines above the first row."""
    gauge_step_pa: float
    """Step of the pressure column, from its digits [Pa]."""
    air_step_k: float | None
    """Step of the air column, from its digits [K]; None where nothing was read."""
    barometer_step_pa: float | None
    """Step of the barometer column, from its digits [Pa]; None where nothing was read."""


class _Columns:
    """Readings as they come in."""

    def __init__(self) -> None:
        self.elapsed = array("d")
        self.pressure = array("d")
        self.air = array("d")
        self.barometer = array("d")
        self.notes: list[tuple[float, str]] = []
        self.comments: list[str] = []
        """Free comment lines since the last row."""
        self.head: tuple[str, ...] = ()
        """Those above the first row."""
        self.first_ms: int | None = None

    def add(self, row: Row, line: int) -> None:
        elapsed, at_ms, pressure, air, barometer, note = row
        if elapsed is None:
            self.first_ms = at_ms if self.first_ms is None else self.first_ms
            elapsed = (at_ms - self.first_ms) / 1000
        if not self.elapsed:
            self.head = tuple(self.comments)
            self.comments.clear()
        self.elapsed.append(elapsed)
        self.pressure.append(pressure)
        self.air.append(math.nan if air is None else air)
        self.barometer.append(math.nan if barometer is None else barometer)
        if note:
            self._refuse_notes(note, line)
            self.notes.append((elapsed, note))
        self.take_comments()

    def take_comments(self) -> None:
        """Keep the free comment lines as notes of the last row."""
        if self.elapsed and len(self.notes) < MOST_NOTES:
            self.notes += [(self.elapsed[-1], note) for note in as_notes(self.comments)]
        self.comments.clear()

    def _refuse_notes(self, note: str, line: int) -> None:
        if len(note) > LONGEST_NOTE:
            raise FileError(
                f"the note has {len(note)} characters; {LONGEST_NOTE} are the most", line=line, field="note"
            )
        if len(self.notes) >= MOST_NOTES:
            raise FileError(f"more than {MOST_NOTES} rows have a note; leave that column out", line=line, field="note")


def read_hold(source: Source, columns: str = "") -> HoldFile:
    r"""Return the hold that a file holds.

    Parameters
    ----------
    source
        Its path, ``-`` for standard input, its bytes, or its lines one by one.
    columns
        Which of its columns is which of ours, where it has headings of its own.

    Returns
    -------
    HoldFile
        All rows in SI; nothing is left out or filled in.

    Raises
    ------
    FileError
        If anything in it cannot be read; one line that names line and field and what to do.

    Examples
    --------
    >>> hold = read_hold(b"# volume: 1.2 L\nelapsed [min],gauge [mbar]\n0,500.0\n10,499.8\n")
    >>> list(hold.series.elapsed_s), hold.gauge_step_pa, hold.settings.volume.typed
    ([0.0, 600.0], 10.0, '1.2 L')
    """
    stream, read = HoldStream(columns), _Columns()
    for line, text in numbered_lines(source):
        taken = stream.take(text, line)
        if isinstance(taken, list):
            if len(read.elapsed) >= MOST_ROWS:
                raise FileError(f"the file has more than {MOST_ROWS} rows; keep one hold in it", line=line)
            read.add(taken, line)
        elif isinstance(taken, Comment):
            read.comments += [taken.free] if taken.free else []
        elif stream.header is not None and not stream.header.timed:
            raise FileError("no column holds the time; head one elapsed [s] or time", line=line)
    read.take_comments()
    header = _complete(stream, read)
    _refuse_swapped_unit(header, read)
    steps = {role: _step(header.column(role), header, stream, read) for role in Role}
    gauge_step = steps[Role.ABSOLUTE if header.absolute else Role.GAUGE]
    assert gauge_step is not None  # there is at least one row
    return HoldFile(
        series=HoldSeries(
            elapsed_s=read.elapsed,
            pressure_pa=read.pressure,
            air_k=read.air,
            barometer_pa=read.barometer,
        ),
        absolute=header.absolute,
        unit=_pressure(header).unit,
        settings=stream.settings,
        notes=tuple(read.notes),
        head=read.head,
        gauge_step_pa=gauge_step,
        air_step_k=steps[Role.AIR],
        barometer_step_pa=steps[Role.BAROMETER],
    )


def _complete(stream: HoldStream, columns: _Columns) -> Header:
    if (missing := stream.missing()) is not None:
        raise missing
    assert stream.header is not None  # `missing` looked
    if not columns.elapsed:
        raise FileError("there is no row of readings under the header")
    return stream.header


def _pressure(header: Header) -> Column:
    column = header.column(Role.ABSOLUTE) or header.column(Role.GAUGE)
    assert column is not None  # the header was read
    return column


def _refuse_swapped_unit(header: Header, columns: _Columns) -> None:
    """Ask for the right header where mbar, kPa or Pa is written over numbers that can only be bar or kPa."""
    column, most = _pressure(header), max(columns.pressure)
    if not 0 < most < _LOW_PA:
        return
    for unit, factor in (("bar", 1e5), ("kPa", 1e3), ("psi", 6894.757)):
        meant = most / column.factor * factor
        if 5e3 <= meant <= 6e5:
            seen, other = (show(pa, Quantity.PRESSURE_DIFFERENCE, unit=column.unit) for pa in (most, meant))
            head = f"{column.role} [{unit}]"
            raise FileError(
                f"the pressure never exceeds {seen}; if its numbers are {unit} ({other}), head it {head}",
                field=column.role,
            )


def _step(column: Column | None, header: Header, stream: HoldStream, columns: _Columns) -> float | None:
    if column is None:
        return None
    values = {
        Role.GAUGE: columns.pressure,
        Role.ABSOLUTE: columns.pressure,
        Role.AIR: columns.air,
        Role.BAROMETER: columns.barometer,
    }.get(column.role)
    if values is None:
        return None
    decimals = stream.decimals.get(column.role, 0)
    return step_of(values, decimals, factor=column.factor, zero=column.zero, dial=column is _pressure(header))
