"""A parts list from a file: a part a row, and what is different from the usual figures of such a part."""

from collections.abc import Sequence

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.instruments.table_csv import Heading, TableRow, read_table
from commission.instruments.text_lines import Source

CHANGES = ("size", "volume", "rating", "wetted", "name")
"""Columns that change a usual figure; an empty cell leaves it as it is."""
COLUMNS = (Heading(name="part"), *(Heading(name=name, needed=False) for name in CHANGES))
"""Columns of a parts list; ``part`` is such as ``radiator 360`` or ``3 x radiator 240``."""
MOST_PARTS = 200
"""Most rows of a parts list; our choice: no loop in a case has more."""


class PartRow(Frozen):
    """One row of a parts list, as typed."""

    line: int
    """Its line in the file, from 1."""
    part: str
    """What it is."""
    changes: tuple[str, ...]
    """What is different, each as one typed line such as ``volume 320 mL``."""


def read_parts(source: Source) -> tuple[PartRow, ...]:
    r"""Return the rows of a parts list.

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
    >>> rows = read_parts(b"part,volume,name\nradiator 360,320 mL,top\ntube,,\n")
    >>> rows[0].changes, rows[1].part
    (('volume 320 mL', 'name top'), 'tube')
    """
    rows = read_table(source, COLUMNS).rows
    if len(rows) > MOST_PARTS:
        raise FileError(f"{len(rows)} rows are no parts list; {MOST_PARTS} are the most")
    return tuple(_row(row, CHANGES) for row in rows)


def _row(row: TableRow, names: Sequence[str]) -> PartRow:
    if not row.cells["part"]:
        raise FileError("it is empty; write a part, such as radiator 360", line=row.line, field="part")
    changes = tuple(f"{name} {row.cells[name]}" for name in names if row.cells.get(name))
    return PartRow(line=row.line, part=row.cells["part"], changes=changes)
