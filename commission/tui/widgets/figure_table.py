"""Figures one under the other: what it is, its value, its bounds, and a remark."""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual.content import Content
from textual.widgets import Static

from commission.tui.widgets.words import ascii_only, fit, safe, wrap


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure that is known."""

    label: str
    """What it is."""
    value: str
    """The value with its unit."""
    bounds: str = ""
    """Its bounds or uncertainty, such as ``± 0.09 L`` or ``0.003 to 0.011 mbar·L/s``."""
    remark: str = ""
    """What it rests on, or what is odd about it."""


def figure_lines(figures: Sequence[Figure], width: int, *, plain: bool = False) -> list[Content]:
    """Return the table in lines of at most `width` cells: in columns where they fit, else one text a figure."""
    rows = [(safe(f.label, plain), safe(f.value, plain), safe(f.bounds, plain), safe(f.remark, plain)) for f in figures]
    label, value, bounds = (max((cell_len(row[i]) for row in rows), default=0) for i in range(3))
    label = min(label, max(8, width // 3))
    fixed = label + 2 + value + (2 + bounds if bounds else 0)
    beside = width - fixed - 2
    lines: list[Content] = []
    for row in rows:
        if fixed <= width:
            head = Content.assemble(
                (fit(row[0], label), "$text-muted"),
                "  ",
                (fit(row[1], value, right=True), "bold"),
                f"  {fit(row[2], bounds)}",
            )
            remark = wrap(row[3], max(beside, 1)) if beside >= 20 else []
            lines.append(Content.assemble(head, (f"  {remark[0]}", "$text-muted")) if row[3] and remark else head)
            rest = remark[1:] if remark else wrap(row[3], max(1, width - 2)) if row[3] else []
            pad = fixed + 2 if remark else 2
            lines += [Content.styled(f"{' ' * pad}{line}", "$text-muted") for line in rest]
        else:
            joined = " · ".join(part for part in (f"{row[0]} {row[1]}", row[2], row[3]) if part)
            lines += [Content(line) for line in wrap(safe(joined, plain), max(1, width))]
    return lines


class FigureTable(Static):
    """The figures of a stage."""

    def show(self, figures: Sequence[Figure], width: int) -> int:
        """Show the figures in a width; return the rows that they take."""
        lines = figure_lines(figures, width, plain=ascii_only(self))
        self.update(Content("\n").join(lines))
        self.display = bool(lines)
        return len(lines)
