"""Voltages of a supply from a file: plug, rail and reading as columns."""

from collections.abc import Iterable

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.base.text import FreeLine, clean, clip
from commission.instruments.header_row import in_our_headings
from commission.instruments.table_csv import Heading, Table, TableRow, number_of, read_table, word_of
from commission.instruments.text_lines import Source
from commission.stages.first_power.model.rails import PlugKind, Rail, RailReading, Revision

COLUMNS = (
    Heading(name="plug"),
    Heading(name="rail"),
    Heading(name="voltage", units=("V",)),
    Heading(name="connector", needed=False),
    Heading(name="load", needed=False),
)
"""Columns of a table of voltages."""
SETTINGS = ("revision", "meter error", "outcome")
"""Words before the colon of a comment line that set something."""
RENAMED = {"verdict": "outcome"}
"""Words that once stood there, each with the one of today."""

_RAILS = {
    "+12 v": Rail.V12, "+12v": Rail.V12, "12": Rail.V12, "+12": Rail.V12, "12 v": Rail.V12, "12v": Rail.V12,
    "+5 v": Rail.V5, "+5v": Rail.V5, "5": Rail.V5, "+5": Rail.V5, "5 v": Rail.V5, "5v": Rail.V5,
    "+3.3 v": Rail.V3_3, "+3.3v": Rail.V3_3, "3.3": Rail.V3_3, "+3.3": Rail.V3_3, "3.3 v": Rail.V3_3,
    "3.3v": Rail.V3_3, "+5vsb": Rail.STANDBY, "5vsb": Rail.STANDBY, "-12 v": Rail.MINUS_12, "-12v": Rail.MINUS_12,
    "-12": Rail.MINUS_12,
}  # fmt: skip
_KINDS = {kind.value: kind for kind in PlugKind}
_YES_NO = {"yes": "yes", "no": "no"}
_MOST_V = 30.0


class RailsFile(Frozen):
    """Voltages as a file gives them."""

    readings: tuple[RailReading, ...]
    """The readings in the order of the file."""
    revision: Revision | None
    """The guide that the file names; None where it names none."""
    meter_error_v: float
    """Largest error of the meter [V]; 0 where the file states none."""
    outcome: str
    """What the file must give; for tests, never used to judge. Empty where it does not say."""
    comments: tuple[FreeLine, ...] = ()
    """What its other comment lines say."""


def read_rails(source: Source, columns: str = "") -> RailsFile:
    r"""Return the voltages that a file holds.

    Parameters
    ----------
    source
        Its path, ``-`` for standard input, its bytes, or its lines one by one.
    columns
        Which column is which where it has headings of its own; empty where it has ours.

    Returns
    -------
    RailsFile
        All rows, each with its digits as typed.

    Raises
    ------
    FileError
        If anything in it cannot be read; one line that names line and field and what to do.

    Examples
    --------
    >>> file = read_rails(b"plug,rail,voltage [V],connector\nGPU 1,+12 V,11.396,graphics\n")
    >>> file.readings[0].volt, file.readings[0].typed, str(file.readings[0].kind)
    (11.396, '11.396', 'graphics')
    """
    table = read_table(in_our_headings(source, columns) if columns else source, COLUMNS, SETTINGS, RENAMED)
    return RailsFile(
        readings=tuple(_reading(row) for row in table.rows),
        revision=_revision(table),
        meter_error_v=_meter_error(table),
        outcome=table.setting("outcome"),
        comments=tuple(table.comments),
    )


def _reading(row: TableRow) -> RailReading:
    cells, line = row.cells, row.line
    volt, _ = number_of(cells["voltage"], line=line, name="voltage", unit="V", low=-_MOST_V, high=_MOST_V)
    kind = cells.get("connector")
    return RailReading(
        plug=_plug(cells["plug"], line),
        kind=PlugKind.OTHER if not kind else _KINDS[word_of(kind, _named(_KINDS), line=line, name="connector")],
        rail=_RAILS[_rail_word(cells["rail"], line)],
        volt=volt,
        typed=cells["voltage"].removesuffix("V").strip(),
        loaded=bool(cells.get("load")) and word_of(cells["load"], _YES_NO, line=line, name="load") == "yes",
    )


def _rail_word(text: str, line: int) -> str:
    """Return a spelling that is known; the message lists each voltage once and not every spelling."""
    word = " ".join(text.replace("−", "-").lower().split())
    if word not in _RAILS:
        raise FileError(f"{clip(text)} is none of {', '.join(Rail)}", line=line, field="rail")
    return word


def _plug(text: str, line: int) -> str:
    if not text:
        raise FileError("the plug has no name; write where it was read, such as GPU 1", line=line, field="plug")
    return clean(text)


def _named(words: Iterable[str]) -> dict[str, str]:
    return {each: each for each in words}


def _revision(table: Table) -> Revision | None:
    found = table.settings.get("revision")
    if found is None:
        return None
    known = {"atx2": "ATX2", "atx3": "ATX3"}
    return Revision(word_of(found[1], known, line=found[0], name="revision"))


def _meter_error(table: Table) -> float:
    line, text = table.settings.get("meter error", (0, "0"))
    return number_of(text, line=line, name="meter error", unit="V", low=0, high=1)[0]
