"""Readings and lines on a grid of cells: every extreme of a pixel column is kept."""

import math
from bisect import bisect_left
from collections.abc import Sequence

from commission.base.frozen import Frozen

BRAILLE = 0x2800
"""The empty braille cell; its eight dots are the low eight bits (Unicode chart U+2800)."""
_LEFT = (0x01, 0x02, 0x04, 0x40)
_RIGHT = (0x08, 0x10, 0x20, 0x80)
_SIDES = tuple(
    (sum(side), tuple(sum(side[i:]) for i in range(4)), tuple(sum(side[: i + 1]) for i in range(4)))
    for side in (_LEFT, _RIGHT)
)
"""For each half of a cell: all its dots, those from one of them down, and those down to one of them."""

Extent = tuple[float, float]
"""Lowest and highest value of a pixel column."""


class Window(Frozen):
    """The part of the plane that is drawn, and the cells it is drawn on."""

    t0: float
    """Time at the left edge [s]."""
    t1: float
    """Time at the right edge [s]."""
    y0: float
    """Value at the lower edge."""
    y1: float
    """Value at the upper edge."""
    columns: int
    """Cells across."""
    rows: int
    """Cells down."""
    step: float = 0.0
    """Between two labels of values, each in the middle of a row; 0 where the rows were not laid on round values."""

    @property
    def pixel_columns(self) -> int:
        """Two pixels a cell."""
        return 2 * self.columns

    def pixel_column(self, t: float) -> int:
        """Return the pixel column of a time, kept inside; times on an edge fall as they do in `extents`."""
        columns = self.pixel_columns
        column = max(0, min(columns - 1, int((t - self.t0) / (self.t1 - self.t0) * columns)))
        if column and t < edge(self.t0, self.t1, column, columns):
            return column - 1
        if column < columns - 1 and t >= edge(self.t0, self.t1, column + 1, columns):
            return column + 1
        return column

    def height(self, y: float, steps: int) -> int:
        """Return how many steps below the upper edge a value lies, with `steps` a cell, kept inside."""
        whole = self.rows * steps
        down = (self.y1 - y) * whole / (self.y1 - self.y0)
        if down >= whole:
            return whole - 1
        return int(down) if down > 0 else 0


def edge(t0: float, t1: float, column: int, columns: int) -> float:
    """Return the time at which a pixel column begins."""
    return t0 + (t1 - t0) * column / columns


def extents(t0: float, t1: float, columns: int, times: Sequence[float], values: Sequence[float]) -> list[Extent | None]:
    """Return the lowest and highest value of each pixel column from t0 to t1; times are in order.

    The readings of one column are cut out of the series by bisection, so that a day at one reading a second takes
    some milliseconds and no reading is passed over.
    """
    found: list[Extent | None] = []
    start = 0
    for column in range(1, columns + 1):
        last = column == columns
        stop = len(times) if last else bisect_left(times, edge(t0, t1, column, columns), start)
        found.append(_extent(values[start:stop]) if stop > start else None)
        start = stop
    return found


def _extent(values: Sequence[float]) -> Extent | None:
    low, high = min(values), max(values)
    if math.isfinite(low) and math.isfinite(high):
        return low, high
    finite = [value for value in values if math.isfinite(value)]
    return (min(finite), max(finite)) if finite else None


def dots(window: Window, columns: Sequence[Extent | None]) -> list[bytearray]:
    """Return the braille dots of each cell, one row of cells an item, for a bar in each pixel column."""
    grid = [bytearray(window.columns) for _ in range(window.rows)]
    height = window.height
    for x, extent in enumerate(columns):
        if extent is None:
            continue
        top, bottom = height(extent[1], 4), height(extent[0], 4)
        first, last, cell = top // 4, bottom // 4, x // 2
        whole, below, above = _SIDES[x % 2]
        if first == last:
            grid[first][cell] |= below[top % 4] & above[bottom % 4]
            continue
        grid[first][cell] |= below[top % 4]
        for row in range(first + 1, last):
            grid[row][cell] |= whole
        grid[last][cell] |= above[bottom % 4]
    return grid


def along(window: Window, times: Sequence[float], values: Sequence[float]) -> list[float | None]:
    """Return a line's value in the middle of each column of cells, straight between its points.

    None to the left and right of the line, but for the one cell in which it begins or ends.
    """
    found: list[float | None] = []
    count, at = len(times), 0
    step = (window.t1 - window.t0) / window.columns
    for column in range(window.columns):
        t = window.t0 + step * (column + 0.5)
        at = bisect_left(times, t, at)
        if 0 < at < count:
            t0, y0 = times[at - 1], values[at - 1]
            found.append(y0 + (values[at] - y0) * ((t - t0) / (times[at] - t0)))
        else:
            end = min(at, count - 1)
            found.append(values[end] if end >= 0 and abs(t - times[end]) <= step else None)
    return found
