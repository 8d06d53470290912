"""Coolant above air over time: readings, those that count, the fitted approach and the limit; told in words, too."""

from rich.cells import cell_len

from commission.base.curve import Curve
from commission.base.quantity import Quantity
from commission.bench.figures import duration
from commission.stages.thermal_soak.model import SoakPicture, SoakRule
from commission.stages.thermal_soak.rows.figures import picture_said
from commission.ui.widgets import curve_frame as frame
from commission.ui.widgets.curve_paint import Canvas, Layer, Run
from commission.ui.widgets.curve_raster import Window
from commission.ui.widgets.curve_scene import CurveAxes
from commission.ui.widgets.step_plot import StepPlot
from commission.ui.widgets.words import ascii_only, cut, fit, safe, wrap
from commission.units.chosen import unit_for
from commission.units.lookup import find_unit
from commission.units.registry import scale

MARGIN = 1.1
"""Share of the highest value at which the plot ends [1]."""
COUNTS, BEFORE = ("●", "o"), ("·", ".")
"""Signs of readings that count and of those before the last change, with and without Unicode."""


class SoakPlot(StepPlot):
    """Kelvins above air over time, painted as the other plots are."""

    def __init__(self) -> None:
        super().__init__("soak")
        self.axes = _axes()
        self._picture: SoakPicture | None = None
        self._rule: SoakRule | None = None

    def show_picture(self, picture: SoakPicture | None, rule: SoakRule) -> None:
        """Show the picture of a soak."""
        self._picture, self._rule, self.axes = picture, rule, _axes()
        self._strips = None
        self.refresh()

    @property
    def summary(self) -> str:
        """What the plot shows, in words."""
        return "" if self._picture is None or self._rule is None else picture_said(self._picture, self._rule)

    def _paint(self, width: int, height: int) -> list[list[Run]]:
        plain, picture, rule = ascii_only(self), self._picture, self._rule
        narrow = width < frame.LEAST_COLUMNS or height < frame.LEAST_ROWS
        if picture is None or rule is None or len(picture.elapsed_s) < 2 or narrow:
            words = cut(wrap(safe(self.summary, plain), width), width, height, plain=plain)
            return [[Run(line, Layer.TEXT)] for line in words.split("\n")]
        cells = 0
        for _ in range(2):
            columns, rows = frame.room_for(width, height, cells)
            window = window_of(picture, rule, columns, rows)
            labels = frame.pressure_labels(window, self.axes, plain=plain)
            cells = frame.label_cells(labels, width)
        columns, rows = frame.room_for(width, height, cells)
        window = window_of(picture, rule, columns, rows)
        painted = [_legend(picture, width, safe(self.axes.unit, plain), plain=plain)]
        if height >= frame.WITH_SUMMARY:
            painted.append([Run(fit(safe(self.summary, plain), width, plain=plain), Layer.TEXT)])
        painted += frame.framed(_canvas(picture, rule, window, plain=plain).rows(), labels, cells, plain=plain)
        line = height >= frame.WITH_FLOOR
        return painted + frame.floor(window, self.axes, cells, line=line, plain=plain)


def _axes() -> CurveAxes:
    """Return the axes in the person's unit of temperature."""
    unit = find_unit(unit_for(Quantity.TEMPERATURE_DIFFERENCE, "K") or "K", Quantity.TEMPERATURE_DIFFERENCE)
    one, _ = scale(unit)
    return CurveAxes(
        time_text=duration, pressure_text=lambda kelvin: f"{kelvin / one:.6g}", unit_pa=one, unit=unit.symbol
    )


def window_of(picture: SoakPicture, rule: SoakRule, columns: int, rows: int) -> Window:
    """Return the window that holds every point, the approach and the limit."""
    values = (*picture.above_k, *picture.fit_k)
    last = max(*picture.elapsed_s, *picture.fit_s)
    top = MARGIN * max(rule.above_air_k, *values)
    return Window(
        t0=picture.elapsed_s[0], t1=last, y0=min(0.0, *values), y1=top, columns=max(1, columns), rows=max(1, rows)
    )


def _canvas(picture: SoakPicture, rule: SoakRule, window: Window, *, plain: bool) -> Canvas:
    canvas = Canvas(window, plain=plain)
    limit = Curve(elapsed_s=(window.t0, window.t1), pressure_pa=(rule.above_air_k, rule.above_air_k))
    canvas.line(limit, canvas.signs.fit, Layer.LIMIT, every=3)
    if picture.fit_s:
        canvas.line(Curve(elapsed_s=picture.fit_s, pressure_pa=picture.fit_k), canvas.signs.fit, Layer.FIT)
    points = list(zip(picture.elapsed_s, picture.above_k, strict=True))
    canvas.marks([point for point in points if point[0] < picture.counts_from_s], BEFORE[plain])
    canvas.marks([point for point in points if point[0] >= picture.counts_from_s], COUNTS[plain])
    return canvas


def _legend(picture: SoakPicture, width: int, unit: str, *, plain: bool) -> list[Run]:
    entries = [(COUNTS[plain], "counts", Layer.READING)]
    if picture.counts_from_s > picture.elapsed_s[0]:
        entries.append((BEFORE[plain], "before the last change", Layer.READING))
    entries += [("—" if not plain else "-", "fitted course", Layer.FIT)] if picture.fit_s else []
    entries.append(("┄" if not plain else "--", "limit", Layer.LIMIT))
    runs: list[Run] = []
    for caption, gap in ((f"coolant above air, {unit}   ", "   "), (f"{unit} above air  ", "  ")):
        runs = [Run(caption, Layer.TEXT)]
        for sign, words, layer in entries:
            runs += [Run(sign, layer), Run(f" {words}{gap}", Layer.TEXT)]
        if sum(cell_len(run.text) for run in runs) - len(gap) <= width:
            break
    return runs
