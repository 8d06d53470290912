"""Speed over duty, on the way down and on the way up, told apart without colour and told in words."""

from commission.base.curve import Curve
from commission.base.frozen import Frozen
from commission.stages.fan_headers.model.sweep import Direction, SweepPicture
from commission.ui.widgets.curve_frame import Ticks, in_room
from commission.ui.widgets.curve_paint import Canvas, Layer, Run, line_cell
from commission.ui.widgets.curve_raster import Window
from commission.ui.widgets.curve_scene import CurveAxes
from commission.ui.widgets.curve_ticks import value_ticks
from commission.ui.widgets.plot import Plot
from commission.ui.widgets.step_plot import NO_CURVE

DOWN, UP, BOTH = ("▼", "v"), ("▲", "^"), ("◆", "x")
"""Signs of the ways, and of both where they share a cell, with and without Unicode."""


class Ways(Frozen):
    """The two ways of a sweep."""

    down: Curve = NO_CURVE
    """Speed over duty on the way down, or where no way was said; by rising duty."""
    up: Curve = NO_CURVE
    """The same on the way up."""
    summary: str = ""
    """What it shows, in words."""

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """Every point of both ways."""
        return (*_points(self.down), *_points(self.up))


def ways_of(picture: SweepPicture | None, minimum_pct: float | None = None) -> Ways:
    """Return the two ways of a picture."""
    if picture is None:
        return Ways()
    rows = list(zip(picture.duty_pct, picture.rpm, picture.direction, strict=True))
    down = sorted((duty, rpm) for duty, rpm, way in rows if way is not Direction.UP)
    up = sorted((duty, rpm) for duty, rpm, way in rows if way is Direction.UP)
    low, high = (min(rows), max(rows)) if rows else ((0.0, 0.0, Direction.DOWN),) * 2
    said = f"{high[1]:.0f} rpm at {high[0]:g} %, {low[1]:.0f} rpm at {low[0]:g} %"
    if minimum_pct is not None:
        said += f", smallest advised {minimum_pct:g} %"
    return Ways(down=_curve(down), up=_curve(up), summary=said)


def _curve(points: list[tuple[float, float]]) -> Curve:
    by_duty = dict(points)  # at a duty that was visited twice on one way the faster reading is drawn
    return Curve(elapsed_s=tuple(by_duty), pressure_pa=tuple(by_duty.values()))


class SweepPlot(Plot):
    """Rpm over duty in two ways, painted as the other plots are."""

    def __init__(self) -> None:
        super().__init__(
            CurveAxes(time_text=lambda duty: f"{duty:g}", pressure_text=lambda rpm: f"{rpm:g}", unit="rpm")
        )
        self._ways = Ways()

    def show_picture(self, picture: SweepPicture | None, minimum_pct: float | None = None) -> None:
        """Show the picture of a sweep."""
        self._ways = ways_of(picture, minimum_pct)
        self.redraw()

    @property
    def summary(self) -> str:
        """What the plot shows, in words."""
        return self._ways.summary

    @property
    def ticks(self) -> Ticks:
        """The numbers along its floor: round duties."""
        return value_ticks

    @property
    def empty(self) -> bool:
        """Whether no level was read yet."""
        return not self._ways.points

    def window(self, columns: int, rows: int) -> Window:
        """Return the window that holds every point."""
        return window_of(self._ways, columns, rows)

    def canvas(self, window: Window, *, plain: bool) -> Canvas:
        """Return both ways, without axes."""
        return painted(self._ways, window, plain=plain)

    def legend(self, width: int, columns: int, *, plain: bool) -> list[Run]:
        """Return what the signs of both ways mean."""
        return _legend(self._ways, width, plain=plain)


def window_of(ways: Ways, columns: int, rows: int) -> Window:
    """Return the window that holds every point; speeds begin at 0."""
    lowest = min(duty for duty, _ in ways.points)
    top = max(1.0, *(rpm for _, rpm in ways.points))
    left = min(lowest, 90.0) - 3.0
    return Window(t0=left, t1=103.0, y0=0.0, y1=top, columns=max(1, columns), rows=max(1, rows))


def painted(ways: Ways, window: Window, *, plain: bool) -> Canvas:
    """Return both ways with their marks, without axes."""
    canvas = Canvas(window, plain=plain)
    canvas.line(ways.down, canvas.signs.fit, Layer.FIT, bends=True)
    canvas.line(ways.up, canvas.signs.fit, Layer.LIMIT, every=2, bends=True)
    for way, signs in ((ways.down, DOWN), (ways.up, UP)):
        canvas.marks(_points(way), signs[plain], on_line=True)
    canvas.marks(shared(ways, window), BOTH[plain], on_line=True)
    return canvas


def shared(ways: Ways, window: Window) -> list[tuple[float, float]]:
    """Return the points of the way up that fall into the cell of one of the way down."""
    down = {_cell(window, *point) for point in _points(ways.down)}
    return [point for point in _points(ways.up) if _cell(window, *point) in down]


def _points(way: Curve) -> list[tuple[float, float]]:
    return list(zip(way.elapsed_s, way.pressure_pa, strict=True))


def _cell(window: Window, duty: float, rpm: float) -> tuple[int, int]:
    return line_cell(window, rpm)[0], window.pixel_column(duty) // 2


def _legend(ways: Ways, width: int, *, plain: bool) -> list[Run]:
    entries = [(DOWN[plain], "way down")] if ways.down.elapsed_s else []
    entries += [(UP[plain], "way up")] if ways.up.elapsed_s else []
    entries += [(BOTH[plain], "both")] if len(entries) > 1 else []
    shown = [(sign, words, Layer.READING) for sign, words in entries]
    return in_room((("rpm by duty in %   ", "   ", shown), ("rpm by %  ", "  ", shown)), width)
