"""A plot of numbered steps: amounts of a fill, or cycles of a bleed, told apart without colour and told in words."""

from commission.base.curve import Curve
from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.ui.widgets.curve_frame import in_room
from commission.ui.widgets.curve_paint import Canvas, Layer, Run, signs_of
from commission.ui.widgets.curve_raster import Extent, Window
from commission.ui.widgets.curve_scene import CurveAxes
from commission.ui.widgets.plot import Plot
from commission.ui.widgets.words import safe
from commission.units.chosen import unit_for
from commission.units.lookup import find_unit
from commission.units.registry import scale

NO_CURVE = Curve(elapsed_s=(), pressure_pa=())
ML = 1e-6


class Steps(Frozen):
    """What is drawn: a value for each step, and what it is held against."""

    values: tuple[float, ...] = ()
    """Value of each step, numbered from 1 [m3]."""
    errors: tuple[float, ...] = ()
    """Half-width of each [m3]."""
    from_floor: bool = False
    """Whether a bar stands beneath each value."""
    special: tuple[int, ...] = ()
    """Numbers of the steps that get a sign of their own."""
    low: float | None = None
    """Lower edge of a band over all steps [m3]; None where there is none."""
    high: float | None = None
    """Upper edge of that band [m3]."""
    fit: Curve = NO_CURVE
    """A fitted line, by number of step [m3]."""
    limit: float | None = None
    """A limit over all steps [m3]; None where there is none."""
    words: tuple[tuple[str, str, str], ...] = ()
    """Legend: what it stands for (step, special, band, fit, limit), in long and in short words."""
    summary: str = ""
    """What it shows, in words."""


class StepPlot(Plot):
    """Amounts by number, each with its half-width.

    Parameters
    ----------
    what
        What a step is called.
    """

    def __init__(self, what: str) -> None:
        super().__init__(_axes())
        self.what = what
        """What a step is called."""
        self._steps = Steps()

    def show(self, steps: Steps) -> None:
        """Show these steps in place of the last."""
        self._steps, self.axes = steps, _axes()
        self.redraw()

    @property
    def summary(self) -> str:
        """What the plot shows, in words."""
        return self._steps.summary

    @property
    def empty(self) -> bool:
        """Whether there is no step yet."""
        return not self._steps.values

    def window(self, columns: int, rows: int) -> Window:
        """Return the window that holds every step, the band, the fitted line and the limit."""
        return window_of(self._steps, columns, rows)

    def canvas(self, window: Window, *, plain: bool) -> Canvas:
        """Return steps, band, fitted line and limit."""
        return _canvas(self._steps, window, plain=plain)

    def legend(self, width: int, columns: int, *, plain: bool) -> list[Run]:
        """Return what the signs of the steps mean."""
        return legend(self._steps, self.what, width, unit=self.axes.unit, plain=plain)


def _axes() -> CurveAxes:
    """Return the axes in the person's unit of volume."""
    unit = unit_for(Quantity.VOLUME, "mL") or ""
    one, _ = scale(find_unit(unit, Quantity.VOLUME))
    return CurveAxes(
        time_text=lambda number: f"{number:.0f}" if number >= 0.5 else "",
        pressure_text=lambda m3: f"{m3 / one:.6g}",
        unit_pa=one,
        unit=unit,
    )


def window_of(steps: Steps, columns: int, rows: int) -> Window:
    """Return the window that holds every step, the band, the fitted line and the limit."""
    last = max(float(len(steps.values)), *steps.fit.elapsed_s, 1.0)
    tops = [value + error for value, error in zip(steps.values, steps.errors, strict=True)]
    lows = [value - error for value, error in zip(steps.values, steps.errors, strict=True)]
    top = max((*tops, *steps.fit.pressure_pa, steps.high or 0.0, steps.limit or 0.0, ML))
    bottom = min((0.0, *lows))
    return Window(t0=0.5, t1=last + 0.5, y0=bottom, y1=top, columns=max(1, columns), rows=max(1, rows))


def _canvas(steps: Steps, window: Window, *, plain: bool) -> Canvas:
    canvas = Canvas(window, plain=plain)
    ends = (window.t0, window.t1)
    if steps.low is not None and steps.high is not None:
        edges = _band_apart(steps.values, steps.low, steps.high, window)
        low, high = (Curve(elapsed_s=ends, pressure_pa=(edge, edge)) for edge in edges)
        canvas.band(low, high)
    extents: list[Extent | None] = [None] * window.pixel_columns
    points = [(float(number), value) for number, value in enumerate(steps.values, 1)]
    for (number, value), error in zip(points, steps.errors, strict=True):
        foot = min(0.0, value - error) if steps.from_floor else value - error
        extents[window.pixel_column(number)] = (foot, value + (0.0 if steps.from_floor else error))
    canvas.cloud(extents)
    canvas.line(steps.fit, canvas.signs.fit, Layer.FIT)
    if steps.limit is not None:
        canvas.level(steps.limit, canvas.signs.limit, Layer.LIMIT)
    canvas.marks(points)
    canvas.marks([points[number - 1] for number in steps.special], special_sign(plain))
    return canvas


def _band_apart(values: tuple[float, ...], low: float, high: float, window: Window) -> tuple[float, float]:
    """Return the edges of a band, without a row at its edge in which a value beside the band lies too."""
    row = (window.y1 - window.y0) / window.rows
    below = {window.height(value, 1) for value in values if value < low}
    above = {window.height(value, 1) for value in values if value > high}
    if window.height(low, 1) in below and window.height(low, 1) > window.height(high, 1):
        low += row
    if window.height(high, 1) in above and window.height(low, 1) > window.height(high, 1):
        high -= row
    return low, high


def special_sign(plain: bool) -> str:
    """Return the sign of a step that is like no other."""
    return "x" if plain else "◆"


def legend(steps: Steps, what: str, width: int, *, unit: str = "mL", plain: bool) -> list[Run]:
    """Return the legend in as long words as there is room for."""
    signs = signs_of(plain)
    sign_of = {
        "step": (signs.reading, Layer.READING),
        "special": (special_sign(plain), Layer.READING),
        "band": (signs.band * 2, Layer.BAND),
        "fit": (signs.fit[0] * 2, Layer.FIT),
        "limit": (f"{signs.limit[0]} {signs.limit[0]}", Layer.LIMIT),
    }
    return in_room(
        (
            (
                f"{unit} by {what}{gap}" if long else f"{unit}{gap}",
                gap,
                [
                    (sign_of[key][0], safe(words if long else word, plain), sign_of[key][1])
                    for key, words, word in steps.words
                ],
            )
            for long, gap in ((True, "   "), (True, "  "), (False, "  "), (False, " "))
        ),
        width,
    )
