"""The curve of a hold: compensated readings, fitted decay, its band and the limit, told apart without colour."""

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from commission.domain.hold import HoldPicture
from commission.tui.widgets import curve_frame as frame
from commission.tui.widgets.curve_paint import Layer, Run, painted
from commission.tui.widgets.curve_raster import Extent, Window, extents
from commission.tui.widgets.curve_scene import CurveAxes, Scene, summary_of, window_of
from commission.tui.widgets.words import ascii_only, cut, fit, safe, wrap

__all__ = ["CurveAxes", "HoldCurve"]

AHEAD = 0.1
"""Share of the time that is kept free at the right while readings are appended."""

_PLAIN_AXES = CurveAxes(time_text=lambda s: f"{s:g} s", pressure_text=lambda pa: f"{pa:g}", unit="Pa")


class HoldCurve(Widget):
    """A plot in braille dots, or in ASCII where the terminal asks for that.

    Rows are painted when data or size change, not when the screen asks for them.
    """

    DEFAULT_CSS = """
    HoldCurve {
        height: 1fr;
        min-height: 1;
        & > .hold-curve--nothing { color: $foreground; }
        & > .hold-curve--reading { color: $foreground; text-style: bold; }
        & > .hold-curve--fit { color: $primary; }
        & > .hold-curve--limit { color: $warning; }
        & > .hold-curve--band { color: $secondary 40%; }
        & > .hold-curve--behind { background: $primary 15%; }
        & > .hold-curve--axis { color: $text-muted; }
        & > .hold-curve--text { color: $text-muted; }
    }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {f"hold-curve--{layer}" for layer in Layer} | {"hold-curve--behind"}

    def __init__(
        self,
        axes: CurveAxes | None = None,
        *,
        id: str | None = None,  # noqa: A002 - Textual's word
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.axes = axes or _PLAIN_AXES
        self._scene = Scene()
        self._empty = ""
        self._ahead = 0.0
        self._window: Window | None = None
        self._columns: list[Extent | None] = []
        self._labels: dict[int, str] = {}
        self._rows: list[list[Run]] | None = None

    def show(self, picture: HoldPicture | None, *, empty: str = "", axes: CurveAxes | None = None) -> None:
        """Show a picture in place of the last; None shows the `empty` sentence."""
        self._scene, self._empty = Scene.of(picture), empty
        self.axes = axes or self.axes
        self._window, self._ahead = None, 0.0
        self._redraw()

    def append(self, elapsed_s: float, pressure_pa: float) -> None:
        """Add one compensated reading, relative to the same start as the picture, at the end."""
        scene, window = self._scene, self._window
        scene.times.append(elapsed_s)
        scene.values.append(pressure_pa)
        if window is None or not window.holds(elapsed_s, pressure_pa):
            self._window, self._ahead = None, AHEAD
        else:
            column = window.pixel_column(elapsed_s)
            low, high = self._columns[column] or (pressure_pa, pressure_pa)
            self._columns[column] = min(low, pressure_pa), max(high, pressure_pa)
        self._redraw()

    @property
    def summary(self) -> str:
        """What the curve shows, in words."""
        return summary_of(self._scene, self.axes) or self._empty

    def on_resize(self) -> None:
        """Paint anew."""
        self._window = None
        self._redraw()

    def render_line(self, y: int) -> Strip:
        """Return a painted row in the colours of now."""
        width, height = self.size
        if width < 1 or height < 1:
            return Strip.blank(max(0, width))
        if self._rows is None:
            self._rows = self._paint(width, height)
        runs = self._rows[y] if y < len(self._rows) else []
        segments = [Segment(run.text, self._style(run)) for run in runs]
        return Strip(segments).adjust_cell_length(width, self.rich_style)

    def _redraw(self) -> None:
        self._rows = None
        self.refresh()

    def _style(self, run: Run) -> Style:
        style = self.get_component_rich_style(f"hold-curve--{run.layer}")
        if not run.banded:
            return style
        behind = self.get_component_rich_style("hold-curve--behind")
        return style + Style(bgcolor=behind.bgcolor)

    def _paint(self, width: int, height: int) -> list[list[Run]]:
        plain = ascii_only(self)
        if self._scene.empty or width < frame.LEAST_COLUMNS or height < frame.LEAST_ROWS:
            words = cut(wrap(safe(self.summary, plain), width), width, height, plain=plain)
            return [[Run(line, Layer.TEXT)] for line in words.split("\n")]
        window = self._fitted_window(width, height)
        cells = frame.label_cells(self._labels, width)
        plot = painted(self._scene, window, self._columns, plain=plain)
        rows = [frame.legend(self._scene, self.axes, window.columns, width, plain=plain)]
        if height >= frame.WITH_SUMMARY:
            rows.append(
                [Run(fit(safe(summary_of(self._scene, self.axes, width), plain), width, plain=plain), Layer.TEXT)]
            )
        rows += frame.framed(plot, self._labels, cells, plain=plain)
        return rows + frame.floor(window, self.axes, cells, line=height >= frame.WITH_FLOOR, plain=plain)

    def _fitted_window(self, width: int, height: int) -> Window:
        """Return the window; found anew, with its labels and columns, where it was given up."""
        if self._window is None:
            unit, plain = self.axes.unit_pa, ascii_only(self)
            guess = window_of(self._scene, *frame.room_for(width, height, 0), unit_pa=unit, ahead=self._ahead)
            self._labels = frame.pressure_labels(guess, self.axes, plain=plain)
            room = frame.room_for(width, height, frame.label_cells(self._labels, width))
            self._window = window_of(self._scene, *room, unit_pa=unit, ahead=self._ahead)
            self._columns = extents(self._window, self._scene.times, self._scene.values)
        return self._window
