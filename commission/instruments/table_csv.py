"""Small tables from files: a header row, rows of cells, and comment lines that set something."""

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from commission.base.errors import FileError, on_line
from commission.base.frozen import Frozen
from commission.base.text import FreeLine, clean, clip
from commission.instruments.header_row import UNREAD
from commission.instruments.text_lines import Source, numbered_lines, split_cells
from commission.units.number import LONGEST, split_number

MOST_TABLE_ROWS = 100_000
"""Most rows of a small table."""

MOST_TABLE_CHARS = 8_000_000
"""Most characters of a small table; our choice: eighty in each of the most rows."""

_NAME = re.compile(r"([^\[\]]*?)\s*(?:\[\s*([^\[\]]*?)\s*\])?")
_SETTING = re.compile(r"([A-Za-z][A-Za-z _-]{0,30}?)\s*[:=]\s*(.*)")


class Heading(Frozen):
    """A column that a table may have."""

    name: str
    """Its name."""
    units: tuple[str, ...] = ()
    """Units that its numbers may have, all meaning the same; empty for a column of words."""
    needed: bool = True
    """Whether the table must have it."""

    @property
    def shown(self) -> str:
        """How a person writes it."""
        return f"{self.name} [{self.units[0]}]" if self.units else self.name


class TableRow(Frozen):
    """One row."""

    line: int
    """Its number in the file, from 1."""
    cells: dict[str, str]
    """Cells by the name of their column, without outer blanks."""


@dataclass(slots=True, kw_only=True)
class Table:
    """A table as the file gives it."""

    columns: tuple[str, ...] = ()
    """Names of its columns, in order."""
    rows: list[TableRow] = field(default_factory=list)
    """Its rows, in order; empty ones left out."""
    settings: dict[str, tuple[int, str]] = field(default_factory=dict)
    """What comment lines set, with their line."""
    comments: list[FreeLine] = field(default_factory=list)
    """What the other comment lines say."""

    def setting(self, key: str) -> str:
        """Return what a comment line sets; empty where none does."""
        return self.settings.get(key, (0, ""))[1]


def read_table(
    source: Source,
    headings: Sequence[Heading],
    settings: Sequence[str] = (),
    renamed: Mapping[str, str] | None = None,
) -> Table:
    r"""Return the table that a file holds.

    Parameters
    ----------
    source
        Its path, its bytes, or its lines one by one.
    settings
        Words before the colon of a comment line that set something.
    renamed
        Words that once stood there, each with the one of today.

    Raises
    ------
    FileError
        If anything in it cannot be read; one line that names line and field and what to do.

    Examples
    --------
    >>> columns = (Heading(name="duty", units=("%",)), Heading(name="speed", units=("rpm",)))
    >>> table = read_table(b"# fans: 3\nduty [%],speed [rpm]\n100,1500\n", columns, ("fans",))
    >>> table.rows[0].cells, table.settings
    ({'duty': '100', 'speed': '1500'}, {'fans': (1, '3')})
    """
    table, separator, read = Table(), "", 0
    for line, text in numbered_lines(source):
        read += len(text) + 1
        if read > MOST_TABLE_CHARS:
            raise FileError(f"the file has more than {MOST_TABLE_CHARS} characters; keep one table in it", line=line)
        if text.lstrip(' "').startswith("#"):
            _take_setting(text, line, settings, renamed or {}, table)
        elif not text.strip():
            continue
        elif not table.columns:
            separator = ";" if ";" in text else ","
            table.columns = _columns(split_cells(text, separator, line), headings, line)
        else:
            _take_row(split_cells(text, separator, line), line, table)
    if not table.columns:
        raise FileError(f"there is no header row; columns are {_listed(headings)}")
    if not table.rows:
        raise FileError("there is no row of readings under the header")
    return table


def _take_row(cells: list[str], line: int, table: Table) -> None:
    if not any(cells):
        return
    if len(cells) != len(table.columns):
        raise FileError(
            f"the row has {len(cells)} cells where the header has {len(table.columns)}; with decimal commas put "
            "semicolons between the cells",
            line=line,
        )
    if len(table.rows) >= MOST_TABLE_ROWS:
        raise FileError(f"the file has more than {MOST_TABLE_ROWS} rows; keep one table in it", line=line)
    table.rows.append(TableRow(line=line, cells=dict(zip(table.columns, cells, strict=True))))


def _columns(cells: list[str], headings: Sequence[Heading], line: int) -> tuple[str, ...]:
    known = {heading.name: heading for heading in headings}
    names = []
    for cell in cells:
        if cell == UNREAD:
            names.append(UNREAD)
            continue
        found = _NAME.fullmatch(cell) if len(cell) <= LONGEST else None
        name, unit = (found[1].strip().lower(), found[2]) if found else ("", None)
        if name not in known:
            raise FileError(f"{clip(cell)} is not a column of this table; columns are {_listed(headings)}", line=line)
        heading = known[name]
        if (unit or "") not in (heading.units or ("",)):
            said = f"its unit is not {clip(unit)}" if unit else "it has no unit"
            raise FileError(f"{said}; head it {heading.shown}", line=line, field=name)
        if name in names:
            raise FileError("it stands twice in the header; keep one", line=line, field=name)
        names.append(name)
    missing = [heading.shown for heading in headings if heading.needed and heading.name not in names]
    if missing:
        raise FileError(f"the header lacks {', '.join(missing)}", line=line)
    return tuple(names)


def _listed(headings: Sequence[Heading]) -> str:
    return ", ".join(heading.shown if heading.needed else f"{heading.shown} (if wanted)" for heading in headings)


def _take_setting(text: str, line: int, settings: Sequence[str], renamed: Mapping[str, str], table: Table) -> None:
    body = (split_cells(text, ",", line)[0] if text.lstrip().startswith('"') else text).strip().lstrip("# \t")
    found = _SETTING.fullmatch(body.rstrip(" \t,;"))
    if found is None:
        table.comments += [FreeLine(line, clean(body))] if body.strip() else []
        return
    key = re.sub(r"[ _-]+", " ", found[1]).strip().lower()
    if key in renamed:
        raise FileError(f"renamed: write {renamed[key]}", line=line, field=key)
    if key not in settings:
        near = difflib.get_close_matches(key, settings, n=1, cutoff=0.75)
        if near:
            raise FileError(
                f"is {near[0]} meant? settings are {', '.join(settings)}; leave out the colon for free text",
                line=line,
                field=key,
            )
        table.comments.append(FreeLine(line, clean(body)))
        return
    if key in table.settings:
        raise FileError(f"it stands in line {table.settings[key][0]} already; keep one", line=line, field=key)
    table.settings[key] = (line, clean(found[2].strip()))


def number_of(text: str, *, line: int, name: str, unit: str, low: float, high: float) -> tuple[float, int]:
    """Return a cell's number and its decimals as typed; the unit may stand behind it.

    Raises
    ------
    FileError
        If it is no number, has another unit, or is outside low to high.

    Examples
    --------
    >>> number_of("1480", line=2, name="speed", unit="rpm", low=0, high=60000)
    (1480.0, 0)
    >>> number_of("72000", line=2, name="speed", unit="rpm", low=0, high=60000)
    Traceback (most recent call last):
    commission.base.errors.FileError: line 2, field "speed": "72000" is outside 0 to 60000 rpm; check the number
    """
    if not text:
        raise FileError(f"the cell is empty; write a number in {unit}", line=line, field=name)
    if len(text) > LONGEST:
        raise FileError(f"{clip(text)} is {len(text)} characters long; is it a number?", line=line, field=name)
    with on_line(line, name):
        typed, rest = split_number(clean(text))
    if rest not in ("", unit):
        raise FileError(f"{clip(text)} has {clip(rest)} behind its number; write it in {unit}", line=line, field=name)
    if not low <= typed.value <= high:
        raise FileError(f"{clip(text)} is outside {low:g} to {high:g} {unit}; check the number", line=line, field=name)
    return typed.value, max(0, typed.decimals)


def word_of(text: str, words: dict[str, str], *, line: int, name: str) -> str:
    """Return what a word stands for.

    Raises
    ------
    FileError
        If it is none of the words.

    Examples
    --------
    >>> word_of("DC", {"pwm": "pwm", "dc": "voltage"}, line=3, name="mode")
    'voltage'
    """
    found = words.get(" ".join(text.lower().split()))
    if found is None:
        raise FileError(f"{clip(text)} is none of {', '.join(words)}", line=line, field=name)
    return found
