"""Readings and lines on a grid of cells: every extreme of a pixel column is kept."""

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

BRAILLE = 0x2800
"""The empty braille cell; its eight dots are the low eight bits (Unicode chart U+2800)."""
_LEFT = (0x01, 0x02, 0x04, 0x40)
_RIGHT = (0x08, 0x10, 0x20, 0x80)

Extent = tuple[float, float]
"""Lowest and highest value of a pixel column."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
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

    @property
    def pixel_columns(self) -> int:
        """Two pixels a cell."""
        return 2 * self.columns

    def pixel_column(self, t: float) -> int:
        """Return the pixel column of a time, kept inside."""
        return max(0, min(self.pixel_columns - 1, int((t - self.t0) / (self.t1 - self.t0) * self.pixel_columns)))

    def time_at(self, column: float) -> float:
        """Return the time at a cell's column."""
        return self.t0 + (self.t1 - self.t0) * column / self.columns

    def height(self, y: float, steps: int) -> int:
        """Return how many steps below the upper edge a value lies, with `steps` a cell, kept inside."""
        whole = self.rows * steps
        down = (self.y1 - y) / (self.y1 - self.y0) * whole
        return max(0, min(whole - 1, int(down))) if math.isfinite(down) else (0 if y > 0 else whole - 1)

    def holds(self, t: float, y: float) -> bool:
        """Return whether a point lies inside."""
        return self.t0 <= t <= self.t1 and self.y0 <= y <= self.y1


def extents(window: Window, times: Sequence[float], values: Sequence[float]) -> list[Extent | None]:
    """Return the lowest and highest value of each pixel column; times are in order.

    The readings of one column are cut out of the series by bisection, so that a day at one reading a second takes
    some milliseconds and no reading is passed over.
    """
    found: list[Extent | None] = []
    start = 0
    columns = window.pixel_columns
    span = window.t1 - window.t0
    for column in range(columns):
        stop = (
            len(times)
            if column == columns - 1
            else bisect_left(times, window.t0 + span * (column + 1) / columns, start)
        )
        if stop == start:
            found.append(None)
            continue
        part = values[start:stop]
        found.append(_extent(part))
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
    for x, extent in enumerate(columns):
        if extent is None:
            continue
        top, bottom = window.height(extent[1], 4), window.height(extent[0], 4)
        bits = _RIGHT if x % 2 else _LEFT
        for y in range(top, bottom + 1):
            grid[y // 4][x // 2] |= bits[y % 4]
    return grid


def along(window: Window, times: Sequence[float], values: Sequence[float]) -> list[float | None]:
    """Return a line's value in the middle of each column of cells, straight between its points.

    None to the left and right of the line, but for the one cell in which it begins or ends.
    """
    cell_s = (window.t1 - window.t0) / window.columns
    found: list[float | None] = []
    at = 0
    for column in range(window.columns):
        t = window.time_at(column + 0.5)
        at = bisect_left(times, t, at)
        if 0 < at < len(times):
            t0, t1 = times[at - 1], times[at]
            share = (t - t0) / (t1 - t0) if t1 > t0 else 1.0
            found.append(values[at - 1] + (values[at] - values[at - 1]) * share)
        else:
            end = min(at, len(times) - 1)
            found.append(values[end] if end >= 0 and abs(t - times[end]) <= cell_s else None)
    return found
