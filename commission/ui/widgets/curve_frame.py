"""Axes, legend and words around a painted curve."""

import math
from collections.abc import Callable, Iterable, Sequence

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from commission.base.frozen import replace
from commission.ui.widgets.curve_paint import Layer, Run, signs_of
from commission.ui.widgets.curve_raster import Window
from commission.ui.widgets.curve_scene import CurveAxes
from commission.ui.widgets.curve_ticks import MOST_LABELS, multiples, row_scale, time_ticks, value_ticks
from commission.ui.widgets.words import fit, safe

Ticks = Callable[[float, float, int], list[float]]
"""Round numbers from low to high, at most so many."""
LEAST_COLUMNS = 16
"""Cells across below which there is no plot, only words."""
LEAST_ROWS = 5
"""Rows below which there is no plot, only words: in two rows of values a reading stands beside a limit far from it."""
WITH_FLOOR = 8
"""Rows from which the time axis has a line of its own."""
WITH_SUMMARY = 10
"""Rows from which the summary stands above the plot."""


def styles_of(widget: Widget) -> dict[tuple[Layer, bool], Style]:
    """Return the style of each layer of a plot, behind a band and elsewhere, by its component classes."""
    behind = Style(bgcolor=widget.get_component_rich_style("plot--behind").bgcolor)
    plain = {layer: widget.get_component_rich_style(f"plot--{layer}") for layer in Layer}
    return {
        (layer, banded): style + behind if banded else style
        for layer, style in plain.items()
        for banded in (False, True)
    }


def strips(painted: list[list[Run]], styles: dict[tuple[Layer, bool], Style], width: int) -> list[Strip]:
    """Return painted rows as Textual shows them."""
    fill = styles[Layer.NOTHING, False]
    return [
        Strip([Segment(run.text, styles[run.layer, run.banded]) for run in runs]).adjust_cell_length(width, fill)
        for runs in painted
    ]


def room_for(width: int, height: int, labels: int) -> tuple[int, int]:
    """Return the columns and rows that are left for the plot itself."""
    rows = height - 2 - (height >= WITH_FLOOR) - (height >= WITH_SUMMARY)
    return max(1, width - labels - 1), max(1, rows)


def on_round_rows(window: Window, unit: float) -> Window:
    """Return the window with its rows on round values of a unit, so that no label stands beside its value."""
    scale = row_scale(window.y0 / unit, window.y1 / unit, window.rows)
    if scale is None or not math.isfinite((scale.high - scale.low) * unit):
        return window
    return replace(window, y0=scale.low * unit, y1=scale.high * unit, step=scale.step * unit)


def pressure_labels(window: Window, axes: CurveAxes, *, plain: bool) -> dict[int, str]:
    """Return the labels of the pressure axis by the row they stand on."""
    labels: dict[int, str] = {}
    unit = axes.unit_pa
    if window.step:
        ticks = multiples(window.y0 / unit, window.y1 / unit, window.step / unit, unit)
    else:
        ticks = value_ticks(window.y0, window.y1, max(2, min(MOST_LABELS, window.rows // 2)), unit)
    for tick in ticks:
        text = safe(axes.pressure_text(tick), plain)
        if text not in labels.values():
            labels.setdefault(window.height(tick, 1), text)
    return labels


def label_cells(labels: dict[int, str], width: int) -> int:
    """Return the cells that the labels of the pressure axis take."""
    return min(max((cell_len(text) for text in labels.values()), default=0), width // 3)


def framed(plot: list[list[Run]], labels: dict[int, str], cells: int, *, plain: bool) -> list[list[Run]]:
    """Return the plot's rows with the pressure axis at their left."""
    signs = signs_of(plain)
    return [
        [
            Run(fit(labels.get(row, ""), cells, right=True, plain=plain), Layer.TEXT),
            Run(signs.tick if row in labels else signs.rail, Layer.AXIS),
            *runs,
        ]
        for row, runs in enumerate(plot)
    ]


def floor(
    window: Window, axes: CurveAxes, cells: int, *, line: bool, plain: bool, ticks: Ticks = time_ticks
) -> list[list[Run]]:
    """Return the axis at the foot: its line where there is room for it, and its labels, which never touch."""
    signs = signs_of(plain)
    room = max(2, window.columns // 10)
    marks = [signs.floor] * window.columns
    text = [" "] * (cells + 1 + window.columns)
    free, before = 0, ""
    for tick in ticks(window.t0, window.t1, room):
        column = window.pixel_column(tick) // 2
        label = safe(axes.time_text(tick), plain)
        start = max(0, min(cells + 1 + column - len(label) // 2, len(text) - cell_len(label)))
        if start < free or label == before or cell_len(label) != len(label):
            continue
        marks[column] = signs.floor_tick
        text[start : start + len(label)] = label
        free, before = start + len(label) + 1, label
    rows = [[Run(" " * cells + signs.corner + "".join(marks), Layer.AXIS)]] if line else []
    return [*rows, [Run("".join(text), Layer.TEXT)]]


Form = tuple[str, str, Sequence[tuple[str, str, Layer]]]
"""How a legend may be said: what stands before it, what stands between, and each sign with its words and its layer."""


def in_room(forms: Iterable[Form], width: int) -> list[Run]:
    """Return a legend in the first of its forms that so many cells hold, else in the last."""
    runs: list[Run] = []
    for caption, gap, entries in forms:
        runs = [Run(caption, Layer.TEXT)] if caption else []
        for sign, words, layer in entries:
            runs += [Run(sign, layer), Run(f" {words}{gap}", Layer.TEXT)]
        if sum(cell_len(run.text) for run in runs) - len(gap) <= width:
            break
    return runs
