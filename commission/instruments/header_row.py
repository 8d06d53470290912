"""The header row of a table whose logger heads its columns in its own words, said in ours."""

from commission.base.errors import FileError
from commission.base.own_headings import read_own_headings, same, split_heading
from commission.base.text import clean, clip
from commission.instruments.text_lines import Source, numbered_lines, split_cells

UNREAD = "-"
"""Heading of a column that is not read."""

MOST_BEFORE = 100
"""Most lines before the header row; our choice: a logger's preamble is shorter."""


class HeaderRow:
    """Finds the header row of a file with headings of its own, and says it in ours.

    Parameters
    ----------
    typed
        Which column is which, as for `read_own_headings`; raises InputError as that does.
    """

    def __init__(self, typed: str) -> None:
        self._pairs = read_own_headings(typed)
        self._passed = 0
        self._lacking = ""

    def take(self, text: str, line: int) -> str | None:
        r"""Return the header row in our headings, each other column headed ``-``; None for a line before it.

        Raises
        ------
        FileError
            If a column stands twice or has another unit, or the row does not come.

        Examples
        --------
        >>> row = HeaderRow("time=Zeit, gauge=Druck [mbar]")
        >>> row.take("Logger 3", 1), row.take("Nr;Zeit;Druck", 2)
        (None, '-;time;gauge [mbar]')
        """
        separator = ";" if ";" in text else ","
        try:
            cells = split_cells(text, separator, line)
        except FileError:
            cells = []  # free text before the table
        lacking = [pair.whole for pair in self._pairs if not any(pair.fits(cell) for cell in cells)]
        if not lacking:
            return separator.join(self._ours(cell, cells, line) for cell in cells)
        if not self._passed or len(lacking) < len(self._pairs):
            self._lacking = lacking[0]
        self._passed += 1
        if self._passed > MOST_BEFORE:
            raise self.missing()
        return None

    def missing(self) -> FileError:
        """Return what is wrong where the header row did not come."""
        why = f"; {clip(self._lacking)} was not found" if self._lacking else ""
        return FileError(f"no row heads the columns that were named{why}; write the headings as the file does")

    def _ours(self, cell: str, cells: list[str], line: int) -> str:
        found = [pair for pair in self._pairs if pair.fits(cell)]
        if not found:
            return UNREAD
        pair = found[0]
        if len(found) > 1 or sum(map(pair.fits, cells)) > 1:
            raise FileError(f"{clip(cell)} stands twice; name each column with its unit", line=line)
        unit = split_heading(cell)[1]
        if pair.unit and unit and same(pair.unit) != same(unit):
            raise FileError(
                f"the file heads it [{clean(unit)}], not [{clean(pair.unit)}]; correct the columns",
                line=line,
                field=pair.ours,
            )
        return f"{pair.ours} [{pair.unit or unit}]" if pair.unit or unit else pair.ours


def in_our_headings(source: Source, typed: str) -> list[str]:
    """Return the lines of a table with the header row in our headings, and nothing but comments before it.

    Parameters
    ----------
    source
        Its path, its bytes, or its lines one by one.
    typed
        Which column is which, as for `read_own_headings`; empty where it has our headings: then all lines as they are.

    Raises
    ------
    FileError
        If it cannot be read, or the row does not come.
    """
    lines = [text for _, text in numbered_lines(source)]
    if not typed:
        return lines
    own, before = HeaderRow(typed), list[str]()
    for number, text in enumerate(lines, 1):
        comment = not text.strip() or text.lstrip(' "').startswith("#")
        if not comment and (header := own.take(text, number)) is not None:
            return [*before, header, *lines[number:]]
        before.append(text if comment else "")
    raise own.missing()
