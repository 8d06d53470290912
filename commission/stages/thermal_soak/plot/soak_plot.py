"""Coolant above air over time: readings, those that count, the fitted approach and the limit; told in words, too."""

from commission.base.curve import Curve
from commission.base.quantity import Quantity
from commission.bench.figures import duration
from commission.stages.thermal_soak.model import SoakPicture, SoakRule
from commission.stages.thermal_soak.rows.figures import picture_said
from commission.ui.widgets.curve_frame import in_room
from commission.ui.widgets.curve_paint import Canvas, Layer, Run, signs_of
from commission.ui.widgets.curve_raster import Window
from commission.ui.widgets.curve_scene import CurveAxes
from commission.ui.widgets.plot import Plot
from commission.ui.widgets.words import safe
from commission.units.chosen import unit_for
from commission.units.lookup import find_unit
from commission.units.registry import scale

COUNTS, BEFORE = ("●", "o"), ("·", ".")
"""Signs of readings that count and of those before the last change, with and without Unicode."""


class SoakPlot(Plot):
    """Kelvins above air over time, painted as the other plots are."""

    def __init__(self) -> None:
        super().__init__(_axes())
        self._picture: SoakPicture | None = None
        self._rule: SoakRule | None = None

    def show_picture(self, picture: SoakPicture | None, rule: SoakRule) -> None:
        """Show the picture of a soak."""
        self._picture, self._rule, self.axes = picture, rule, _axes()
        self.redraw()

    @property
    def summary(self) -> str:
        """What the plot shows, in words."""
        return "" if self._picture is None or self._rule is None else picture_said(self._picture, self._rule)

    @property
    def empty(self) -> bool:
        """Whether there are too few readings for a plot."""
        return self._picture is None or self._rule is None or len(self._picture.elapsed_s) < 2

    def window(self, columns: int, rows: int) -> Window:
        """Return the window that holds every point, the approach and the limit."""
        return window_of(*self._shown, columns, rows)

    def canvas(self, window: Window, *, plain: bool) -> Canvas:
        """Return readings, approach and limit, without axes."""
        return _canvas(*self._shown, window, plain=plain)

    def legend(self, width: int, columns: int, *, plain: bool) -> list[Run]:
        """Return what the signs mean."""
        return _legend(self._shown[0], width, safe(self.axes.unit, plain), plain=plain)

    @property
    def _shown(self) -> tuple[SoakPicture, SoakRule]:
        assert self._picture is not None  # an empty plot is words alone
        assert self._rule is not None
        return self._picture, self._rule


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
    top = max(rule.above_air_k, *values)
    return Window(
        t0=picture.elapsed_s[0], t1=last, y0=min(0.0, *values), y1=top, columns=max(1, columns), rows=max(1, rows)
    )


def _canvas(picture: SoakPicture, rule: SoakRule, window: Window, *, plain: bool) -> Canvas:
    canvas = Canvas(window, plain=plain)
    canvas.level(rule.above_air_k, canvas.signs.limit, Layer.LIMIT)
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
    signs = signs_of(plain)
    entries += [(signs.fit[0] * 2, "fitted course", Layer.FIT)] if picture.fit_s else []
    entries.append((f"{signs.limit[0]} {signs.limit[0]}", "limit", Layer.LIMIT))
    forms = (f"coolant above air, {unit}   ", "   ", entries), (f"{unit} above air  ", "  ", entries)
    return in_room(forms, width)
