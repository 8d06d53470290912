"""Figures one under the other: what it is, its value, its bounds, and a remark."""

from collections.abc import Sequence

from rich.cells import cell_len
from textual.content import Content

from commission.bench.card import Figure, Table
from commission.ui.widgets.lines import Lines
from commission.ui.widgets.words import ascii_only, fit, safe, wrap


def figure_lines(figures: Sequence[Figure], width: int, *, remarks: bool = True, plain: bool = False) -> list[Content]:
    """Return the table in lines of at most `width` cells: in columns where they fit, else one text a figure.

    Without room beside the bounds a remark takes a line of its own; without `remarks` it is left out.
    """
    rows = [(safe(f.label, plain), safe(f.value, plain), safe(f.bounds, plain), safe(f.remark, plain)) for f in figures]
    label, value, bounds = (max((cell_len(row[i]) for row in rows), default=0) for i in range(3))
    label = min(label, max(8, width // 3))
    fixed = label + 2 + value + (2 + bounds if bounds else 0)
    beside = width - fixed - 2
    lines: list[Content] = []
    for name, figure, bound, said in rows:
        if fixed > width:
            joined = " · ".join(part for part in (f"{name} {figure}", bound, said if remarks else "") if part)
            lines += [Content(line) for line in wrap(safe(joined, plain), max(1, width))]
            continue
        head = Content.assemble(
            (fit(name, label, plain=plain), "$text-muted"),
            "  ",
            (fit(figure, value, right=True, plain=plain), "bold"),
            f"  {bound}",
        )
        first, rest = _remark(said, beside, width) if said and remarks else ("", [])
        padding = " " * (fixed + 2 - head.cell_length)
        lines.append(Content.assemble(head, (f"{padding}{first}", "$text-muted")) if first else head)
        lines += [Content.styled(f"{' ' * (fixed + 2 if first else 2)}{line}", "$text-muted") for line in rest]
    return lines


def _remark(text: str, beside: int, width: int) -> tuple[str, list[str]]:
    """Return what of a remark stands beside its figure, and the lines beneath."""
    if beside < 20:
        return "", wrap(text, max(1, width - 2))
    first, *rest = wrap(text, beside)
    return first, rest


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
