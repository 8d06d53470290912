"""Readings on a grid of cells."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.ui.widgets.curve_raster import BRAILLE, Window, along, dots, extents

series = st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=300)


def window(columns: int = 10, rows: int = 5, *, t1: float = 100.0, y0: float = -1.0, y1: float = 1.0) -> Window:
    """A window from time 0."""
    return Window(t0=0.0, t1=t1, y0=y0, y1=y1, columns=columns, rows=rows)


@pytest.mark.parametrize(
    ("pixel_column", "eighth", "dot"),
    # The Unicode Standard, Braille Patterns (U+2800): dots 1 2 3 7 run down the left column, 4 5 6 8 down the right.
    [(0, 0, 1), (0, 1, 2), (0, 2, 3), (0, 3, 7), (1, 0, 4), (1, 1, 5), (1, 2, 6), (1, 3, 8)],
)
def test_each_dot_is_where_unicode_puts_it(pixel_column: int, eighth: int, dot: int) -> None:
    one_cell = window(columns=1, rows=1, y0=0.0, y1=4.0)
    y = 3.5 - eighth
    columns = [(y, y) if x == pixel_column else None for x in range(2)]
    cell = dots(one_cell, columns)[0][0]
    assert unicodedata.name(chr(BRAILLE + cell)) == f"BRAILLE PATTERN DOTS-{dot}"


@given(series, st.integers(1, 120))
def test_every_column_knows_its_lowest_and_highest_reading(values: list[float], columns: int) -> None:
    times = [float(i) for i in range(len(values))]
    t1 = max(1.0, times[-1])
    found = extents(0.0, t1, columns, times, values)
    for column, extent in enumerate(found):
        last = column == columns - 1
        inside = [
            y
            for t, y in zip(times, values, strict=True)
            if t >= t1 * column / columns and (last or t < t1 * (column + 1) / columns)
        ]
        assert extent == ((min(inside), max(inside)) if inside else None)


@given(series, st.floats(1e7, 1e9), st.data())
def test_a_peak_of_a_single_reading_is_drawn(values: list[float], peak: float, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(values) - 1))
    values[at] = peak
    times = [float(i) for i in range(len(values))]
    view = window(t1=max(1.0, times[-1]), y0=-1e6, y1=peak)
    grid = dots(view, extents(view.t0, view.t1, view.pixel_columns, times, values))
    assert grid[0][view.pixel_column(times[at]) // 2] != 0


def test_a_bar_fills_every_dot_between_its_ends() -> None:
    view = window(columns=1, rows=3, y0=0.0, y1=12.0)
    grid = dots(view, [(1.5, 10.5), None])
    # From the second dot of the uppermost cell to the third dot of the lowest, all in the left column.
    assert [unicodedata.name(chr(BRAILLE + row[0]))[len("BRAILLE PATTERN DOTS-") :] for row in grid] == [
        "237",
        "1237",
        "123",
    ]


def test_a_line_runs_straight_between_its_points_and_ends_with_them() -> None:
    view = window(columns=10)
    values = along(view, (0.0, 50.0), (0.0, 5.0))
    assert values[:5] == pytest.approx([0.5, 1.5, 2.5, 3.5, 4.5])
    assert values[6:] == [None] * 4


def test_a_line_without_points_is_not_drawn() -> None:
    assert along(window(columns=3), (), ()) == [None] * 3


@given(st.floats(allow_nan=False), st.integers(1, 8))
def test_a_value_outside_is_kept_at_the_edge(y: float, steps: int) -> None:
    assert 0 <= window().height(y, steps) < 5 * steps
