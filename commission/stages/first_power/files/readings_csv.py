"""What a meter showed on a cable, from a file: wire or pair, its two pins, and the reading."""

from commission.base.errors import FileError, on_line
from commission.base.frozen import Frozen
from commission.base.text import FreeLine
from commission.instruments.table_csv import Heading, TableRow, read_table, word_of
from commission.instruments.text_lines import Source
from commission.procedure.pins import Connector
from commission.stages.first_power.model.cables import ContinuityReading, ShortReading
from commission.units.power_numbers import ohms

COLUMNS = (Heading(name="test"), Heading(name="from"), Heading(name="to"), Heading(name="reading"))
"""Columns of a table of readings; ``test`` is wire or pair, ``reading`` in ohm, OL where open."""
SETTINGS = ("cable", "map", "meter")
"""Words before the colon of a comment line that set something."""
_TESTS = {"wire": "wire", "pair": "pair"}
LONGEST_PIN = 8


class ReadingsFile(Frozen):
    """What a meter showed, as a file gives it."""

    rows: tuple[TableRow, ...]
    """Its rows, in order."""
    cable: str
    """Plug, wire size and length as typed, such as ``24-pin 18 AWG 0.6 m``; empty where the file does not say."""
    map: str
    """``one to one``, or the name of a file beside this one; empty where the file does not say."""
    meter: str
    """What the leads showed when held together, as typed; empty where the file does not say."""
    comments: tuple[FreeLine, ...] = ()
    """What its other comment lines say."""

    def against(self, plug: Connector) -> tuple[tuple[ContinuityReading, ...], tuple[ShortReading, ...]]:
        """Return its wires and pairs, by the pins of a plug.

        Raises
        ------
        FileError
            If a pin is not one of the plug, a test stands twice, or a reading is none.
        """
        known = {pin.name.casefold(): pin.name for pin in plug.pins}
        wires: dict[tuple[str, str], ContinuityReading] = {}
        pairs: dict[frozenset[str], ShortReading] = {}
        for row in self.rows:
            first, ohm = _pin(row, "from", known, plug), _ohm(row)
            if word_of(row.cells["test"], _TESTS, line=row.line, name="test") == "wire":
                supply = row.cells["to"]
                if not supply or len(supply) > LONGEST_PIN:
                    raise FileError("it is no pin at the supply; write its number", line=row.line, field="to")
                _once((first, supply) in wires, row)
                wires[first, supply] = ContinuityReading(load=first, supply=supply, ohm=ohm)
                continue
            second = _pin(row, "to", known, plug)
            _once(first == second or frozenset((first, second)) in pairs, row)
            pairs[frozenset((first, second))] = ShortReading(first=first, second=second, ohm=ohm)
        return tuple(wires.values()), tuple(pairs.values())


def read_readings(source: Source) -> ReadingsFile:
    r"""Return the readings that a file holds.

    Parameters
    ----------
    source
        Its path, ``-`` for standard input, its bytes, or its lines one by one.

    Raises
    ------
    FileError
        If it is no such table; one line that names line and field and what to do.

    Examples
    --------
    >>> file = read_readings(b"# meter: 0.2\ntest,from,to,reading\nwire,1,1,0.3\npair,1,3,OL\n")
    >>> file.meter, len(file.rows), file.cable
    ('0.2', 2, '')
    """
    table = read_table(source, COLUMNS, SETTINGS)
    return ReadingsFile(
        rows=tuple(table.rows),
        cable=table.setting("cable"),
        map=table.setting("map"),
        meter=table.setting("meter"),
        comments=tuple(table.comments),
    )


def _pin(row: TableRow, field: str, known: dict[str, str], plug: Connector) -> str:
    found = known.get(row.cells[field].casefold())
    if found is None:
        raise FileError(
            f"it is no pin of the {plug.title}; pins are {', '.join(known.values())}", line=row.line, field=field
        )
    return found


def _ohm(row: TableRow) -> float | None:
    with on_line(row.line, "reading"):
        return ohms(row.cells["reading"])


def _once(again: bool, row: TableRow) -> None:
    if again:
        raise FileError("these two pins stand twice; keep one reading of them", line=row.line)
