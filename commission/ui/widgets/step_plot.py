"""A plot of numbered steps: amounts of a fill, or cycles of a bleed, told apart without colour and told in words."""

from typing import ClassVar

from rich.cells import cell_len
from textual.strip import Strip
from textual.widget import Widget

from commission.base.curve import Curve
from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.ui.widgets import curve_frame as frame
from commission.ui.widgets.curve_paint import Canvas, Layer, Run
from commission.ui.widgets.curve_raster import Extent, Window
from commission.ui.widgets.curve_scene import CurveAxes
from commission.ui.widgets.curve_ticks import time_ticks
from commission.ui.widgets.words import ascii_only, cut, fit, safe, wrap
from commission.units.chosen import unit_for
from commission.units.lookup import find_unit
from commission.units.registry import scale

NO_CURVE = Curve(elapsed_s=(), pressure_pa=())
TOP = 1.08
"""Share of the largest value at which the plot ends [1]."""
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


class StepPlot(Widget):
    """A plot in braille dots, or in ASCII where the terminal asks for that; painted when data or size change."""

    DEFAULT_CSS = """
    StepPlot {
        height: 1fr;
        min-height: 1;
        & > .step-plot--nothing { color: $foreground; }
        & > .step-plot--reading { color: $foreground; text-style: bold; }
        & > .step-plot--fit { color: $primary; }
        & > .step-plot--limit { color: $warning; }
        & > .step-plot--band { color: $secondary 40%; }
        & > .step-plot--behind { background: $primary 15%; }
        & > .step-plot--axis { color: $text-muted; }
        & > .step-plot--text { color: $text-muted; }
    }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {f"step-plot--{layer}" for layer in Layer} | {"step-plot--behind"}

    def __init__(self, what: str) -> None:
        super().__init__()
        self.axes = _axes()
        self.what = what
        """What a step is called."""
        self._steps = Steps()
        self._strips: list[Strip] | None = None

    def show(self, steps: Steps) -> None:
        """Show these steps in place of the last."""
        self._steps, self.axes = steps, _axes()
        self._strips = None
        self.refresh()

    @property
    def summary(self) -> str:
        """What the plot shows, in words."""
        return self._steps.summary

    def on_resize(self) -> None:
        """Paint again."""
        self._strips = None
        self.refresh()

    def notify_style_update(self) -> None:
        """Paint in the new colours."""
        super().notify_style_update()
        self._strips = None

    def render_line(self, y: int) -> Strip:
        """Return a painted row."""
        width, height = self.size
        if width < 1 or height < 1:
            return Strip.blank(max(0, width))
        if self._strips is None:
            self._strips = frame.strips(self._paint(width, height), frame.styles_of(self, "step-plot"), width)
        return self._strips[y] if y < len(self._strips) else Strip.blank(width, self.rich_style)

    # --- what a plot of another kind paints otherwise ----------------------------------------------------------

    @property
    def ticks(self) -> frame.Ticks:
        """The numbers along its floor."""
        return time_ticks

    @property
    def empty(self) -> bool:
        """Whether there is nothing to paint, so that the words stand alone."""
        return not self._steps.values

    def window(self, columns: int, rows: int) -> Window:
        """Return the window that holds all that is painted."""
        return window_of(self._steps, columns, rows)

    def canvas(self, window: Window, *, plain: bool) -> Canvas:
        """Return what is painted, without axes."""
        return _canvas(self._steps, window, plain=plain)

    def legend(self, width: int, *, plain: bool) -> list[Run]:
        """Return what the signs mean."""
        return legend(self._steps, self.what, width, unit=self.axes.unit, plain=plain)

    # --- painting --------------------------------------------------------------------------------------------

    def _paint(self, width: int, height: int) -> list[list[Run]]:
        plain = ascii_only(self)
        if self.empty or width < frame.LEAST_COLUMNS or height < frame.LEAST_ROWS:
            words = cut(wrap(safe(self.summary, plain), width), width, height, plain=plain)
            return [[Run(line, Layer.TEXT)] for line in words.split("\n")]
        cells = 0
        for _ in range(2):
            columns, rows = frame.room_for(width, height, cells)
            window = self.window(columns, rows)
            labels = frame.pressure_labels(window, self.axes, plain=plain)
            cells = frame.label_cells(labels, width)
        columns, rows = frame.room_for(width, height, cells)
        window = self.window(columns, rows)
        painted = [self.legend(width, plain=plain)]
        if height >= frame.WITH_SUMMARY:
            painted.append([Run(fit(safe(self.summary, plain), width, plain=plain), Layer.TEXT)])
        painted += frame.framed(self.canvas(window, plain=plain).rows(), labels, cells, plain=plain)
        line = height >= frame.WITH_FLOOR
        return painted + frame.floor(window, self.axes, cells, line=line, plain=plain, ticks=self.ticks)


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
    return Window(t0=0.5, t1=last + 0.5, y0=bottom, y1=TOP * top, columns=max(1, columns), rows=max(1, rows))


def _canvas(steps: Steps, window: Window, *, plain: bool) -> Canvas:
    canvas = Canvas(window, plain=plain)
    ends = (window.t0, window.t1)
    if steps.low is not None and steps.high is not None:
        low, high = (Curve(elapsed_s=ends, pressure_pa=(edge, edge)) for edge in (steps.low, steps.high))
        canvas.band(low, high)
    extents: list[Extent | None] = [None] * window.pixel_columns
    points = [(float(number), value) for number, value in enumerate(steps.values, 1)]
    for (number, value), error in zip(points, steps.errors, strict=True):
        foot = min(0.0, value - error) if steps.from_floor else value - error
        extents[window.pixel_column(number)] = (foot, value + (0.0 if steps.from_floor else error))
    canvas.cloud(extents)
    canvas.line(steps.fit, canvas.signs.fit, Layer.FIT)
    if steps.limit is not None:
        limit = Curve(elapsed_s=ends, pressure_pa=(steps.limit, steps.limit))
        canvas.line(limit, canvas.signs.limit, Layer.LIMIT, every=2)
    canvas.marks(points)
    canvas.marks([points[number - 1] for number in steps.special], special_sign(plain))
    return canvas


def special_sign(plain: bool) -> str:
    """Return the sign of a step that is like no other."""
    return "x" if plain else "◆"


def legend(steps: Steps, what: str, width: int, *, unit: str = "mL", plain: bool) -> list[Run]:
    """Return the legend in as long words as there is room for."""
    signs = Canvas(Window(t0=0, t1=1, y0=0, y1=1, columns=1, rows=1), plain=plain).signs
    sign_of = {
        "step": (signs.reading, Layer.READING),
        "special": (special_sign(plain), Layer.READING),
        "band": (signs.band * 2, Layer.BAND),
        "fit": (signs.fit[0] * 2, Layer.FIT),
        "limit": (f"{signs.limit[0]} {signs.limit[0]}", Layer.LIMIT),
    }
    runs: list[Run] = []
    for long, gap in ((True, "   "), (True, "  "), (False, "  "), (False, " ")):
        runs = [Run(f"{unit} by {what}{gap}" if long else f"{unit}{gap}", Layer.TEXT)]
        for key, words, word in steps.words:
            sign, layer = sign_of[key]
            runs += [Run(sign, layer), Run(f" {safe(words if long else word, plain)}{gap}", Layer.TEXT)]
        if sum(cell_len(run.text) for run in runs) - len(gap) <= width:
            return runs
    return runs
