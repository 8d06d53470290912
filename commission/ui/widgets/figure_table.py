"""Figures one under the other: what it is, its value, its bounds, and a remark."""

from collections.abc import Sequence
from typing import NamedTuple

from rich.cells import cell_len
from textual.content import Content

from commission.base.text import fold
from commission.bench.card import Figure, Table
from commission.ui.widgets.lines import Lines
from commission.ui.widgets.words import ascii_only, fit, safe, wrap

SHORT_WORD = 12
"""Letters of a word such as PASS or not known that stands among numbers as they do; our choice."""
LEAST_BOUNDS = 16
"""Cells in which bounds may stand in more than one line, and a remark; narrower, they take a line of their own. Our
choice: two words of a usual length."""


def figure_lines(figures: Sequence[Figure], width: int, *, remarks: bool = True, plain: bool = False) -> list[Content]:
    """Return the table in lines of at most `width` cells: in columns, else one text a figure that has no room in them.

    Numbers stand flush right, so that their places meet, and words flush left. Without room beside the bounds a remark
    takes a line of its own; without `remarks` it is left out.
    """
    rows = [_Row(*(safe(text, plain) for text in (f.label, f.value, f.bounds, f.remark))) for f in figures]
    if not remarks:
        rows = [row._replace(remark="") for row in rows]
    label = min(max((cell_len(row.label) for row in rows), default=0), max(8, width // 3))
    fits = [row for row in rows if label + 2 + cell_len(row.value) <= width]
    right = [row.value for row in fits if _stands_right(row.value)]
    if not any(map(_is_number, right)):
        right = []
    words = [row.value for row in fits if not _is_date(row.value)]
    value = max(map(cell_len, right or words), default=0)
    bounds = _bounds_cells([row for row in fits if row.bounds], label + 2 + value, width)
    lines: list[Content] = []
    for row in rows:
        if row not in fits:
            joined = " · ".join(part for part in (f"{row.label} {row.value}", row.bounds, row.remark) if part)
            lines += [Content(line) for line in wrap(fold(joined) if plain else joined, max(1, width))]
            continue
        number = fit(row.value, value, right=row.value in right, plain=plain)
        number = row.value if cell_len(row.value) > value else number.rstrip()
        lines += _columns(row._replace(value=number), width, label=label, value=value, bounds=bounds, plain=plain)
    return lines


class _Row(NamedTuple):
    label: str
    value: str
    bounds: str
    remark: str


def _is_date(value: str) -> bool:
    """Whether a value is a day, which nobody compares digit by digit."""
    return value[4:5] == "-" and value[:4].isdigit()


def _is_number(value: str) -> bool:
    """Whether a value is a number with its unit."""
    return value[:1] in tuple("0123456789+-±") and not _is_date(value)


def _stands_right(value: str) -> bool:
    """Whether a value stands flush right: a number, or a word that stands among numbers in place of one."""
    return _is_number(value) or len(value) <= SHORT_WORD


def _bounds_cells(rows: Sequence[_Row], before: int, width: int) -> int:
    """Return the cells of the column of bounds: those of the longest that has room in its line; 0 without any."""
    room = width - before - 2
    cells = [cell_len(row.bounds) for row in rows]
    return max((cell for cell in cells if cell <= room), default=min(room, max(cells, default=0)))


def _columns(row: _Row, width: int, *, label: int, value: int, bounds: int, plain: bool) -> list[Content]:
    """Return a figure in the columns; what has no room beside it stands beneath."""
    head = Content.assemble((fit(row.label, label, plain=plain), "$text-muted"), "  ", (row.value, "bold"))
    at = max(label + 2 + value, head.cell_length) + 2 if row.value else label + 2
    room = width - at
    first, *rest = wrap(row.bounds, room) if row.bounds and room >= LEAST_BOUNDS else [row.bounds]
    if row.bounds and room < cell_len(first):
        first, rest = "", [row.bounds]
    indent = at if room >= LEAST_BOUNDS else 2
    if first:
        head = Content.assemble(head, " " * (at - head.cell_length), first)
    under = [Content(f"{' ' * indent}{line}") for text in rest for line in wrap(text, max(1, width - indent))]
    if not row.remark:
        return [head, *under]
    start = max(at + (bounds + 2 if row.bounds and bounds else 0), head.cell_length + 2)
    beside, below = _remark(row.remark, width - start, width) if not rest else ("", wrap(row.remark, width - 2))
    if beside:
        head = Content.assemble(head, (f"{' ' * (start - head.cell_length)}{beside}", "$text-muted"))
    indent = start if beside else 2
    return [head, *under, *(Content.styled(f"{' ' * indent}{line}", "$text-muted") for line in below)]


def _remark(text: str, beside: int, width: int) -> tuple[str, list[str]]:
    """Return what of a remark stands beside its figure, and the lines beneath: where it takes fewer lines."""
    beneath = wrap(text, max(1, width - 2))
    if cell_len(text) > beside and beside < LEAST_BOUNDS:
        return "", beneath
    first, *rest = wrap(text, beside)
    return (first, rest) if len(rest) <= len(beneath) else ("", beneath)


LEAST_CELLS = 4
"""Cells to which the other columns of a table shrink before its whole one is cut; our choice."""


def table_lines(table: Table, width: int, *, plain: bool = False) -> list[Content]:
    """Return a table in one line a row, at most `width` cells wide.

    Where it is wider, columns with nothing under their head are left out; then the widest give way, one cell each time.
    """
    rows = [tuple(safe(cell, plain) for cell in row) for row in (table.heads, *table.rows)]
    cells = [max(cell_len(row[at]) for row in rows) for at in range(len(table.heads))]
    whole = table.whole
    if sum(cells) + 2 * (len(cells) - 1) > width:
        used = [at for at in range(len(cells)) if any(row[at] for row in rows[1:])] or [0]
        rows, cells = [tuple(row[at] for at in used) for row in rows], [cells[at] for at in used]
        whole = used.index(whole) if whole in used else -1
    while sum(cells) + 2 * (len(cells) - 1) > width and max(cells) > 1:
        at = max(range(len(cells)), key=lambda one: (one != whole and cells[one] > LEAST_CELLS, cells[one]))
        cells[at] -= 1
    drawn = ["  ".join(fit(cell, room, plain=plain) for cell, room in zip(row, cells, strict=True)) for row in rows]
    head, *body = (fit(line, max(1, width), plain=plain).rstrip() for line in drawn)
    return [Content.styled(head, "$text-muted"), *(Content(line) for line in body)]


class FigureTable(Lines):
    """The figures of a stage."""

    def show(self, figures: Sequence[Figure], width: int, *, remarks: bool = True) -> int:
        """Show the figures in a width; return the rows that they take."""
        return self._put(figure_lines(figures, width, remarks=remarks, plain=ascii_only(self)))

    def show_table(self, table: Table, width: int) -> int:
        """Show a table in their place; return the rows that it takes."""
        return self._put(table_lines(table, width, plain=ascii_only(self)))

    def _put(self, lines: Sequence[Content]) -> int:
        self.put(Content("\n").join(lines))
        self.display = bool(lines)
        return len(lines)
