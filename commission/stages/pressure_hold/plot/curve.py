"""The curve of a hold: compensated readings, fitted decay, its band and the limit, told apart without colour."""

from typing import ClassVar

from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from commission.stages.pressure_hold.model import HoldPicture
from commission.ui.widgets import curve_frame as frame
from commission.ui.widgets.curve_paint import Layer, Run, painted
from commission.ui.widgets.curve_scene import CurveAxes, Scene, View, summary_of, view_of
from commission.ui.widgets.words import ascii_only, cut, fit, safe, wrap

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
        self._view: View | None = None
        self._labels: dict[int, str] = {}
        self._label_cells = 0
        self._strips: list[Strip] | None = None
        self._styles: dict[tuple[Layer, bool], Style] = {}

    def show(self, picture: HoldPicture | None, *, empty: str = "", axes: CurveAxes | None = None) -> None:
        """Show a picture in place of the last; None shows the `empty` sentence."""
        self._scene, self._empty = Scene.of(picture), empty
        self.axes = axes or self.axes
        self._view, self._ahead = None, 0.0
        self._redraw()

    def append(self, elapsed_s: float, pressure_pa: float) -> None:
        """Add one compensated reading, relative to the same start as the picture, at the end."""
        view = self._view
        self._scene.later_s.append(elapsed_s)
        self._scene.later_pa.append(pressure_pa)
        if view is None or not view.window.holds(elapsed_s, pressure_pa):
            self._view, self._ahead = None, AHEAD
        else:
            column = view.window.pixel_column(elapsed_s)
            low, high = view.columns[column] or (pressure_pa, pressure_pa)
            view.columns[column] = min(low, pressure_pa), max(high, pressure_pa)
        self._redraw()

    @property
    def summary(self) -> str:
        """What the curve shows, in words."""
        return summary_of(self._scene, self.axes) or self._empty

    def on_resize(self) -> None:
        """Paint again."""
        self._view = None
        self._redraw()

    def notify_style_update(self) -> None:
        """Paint in the new colours."""
        super().notify_style_update()
        self._strips, self._styles = None, {}

    def render_line(self, y: int) -> Strip:
        """Return a painted row."""
        width, height = self.size
        if width < 1 or height < 1:
            return Strip.blank(max(0, width))
        if self._strips is None:
            self._styles = self._styles or frame.styles_of(self, "hold-curve")
            self._strips = frame.strips(self._paint(width, height), self._styles, width)
        return self._strips[y] if y < len(self._strips) else Strip.blank(width, self.rich_style)

    def _redraw(self) -> None:
        self._strips = None
        self.refresh()

    def _paint(self, width: int, height: int) -> list[list[Run]]:
        plain = ascii_only(self)
        if self._scene.empty or width < frame.LEAST_COLUMNS or height < frame.LEAST_ROWS:
            words = cut(wrap(safe(self.summary, plain), width), width, height, plain=plain)
            return [[Run(line, Layer.TEXT)] for line in words.split("\n")]
        view = self._current_view(width, height)
        rows = [frame.legend(self._scene, self.axes, view.window.columns, width, plain=plain)]
        if height >= frame.WITH_SUMMARY:
            words = safe(summary_of(self._scene, self.axes, width), plain)
            rows.append([Run(fit(words, width, plain=plain), Layer.TEXT)])
        cells = self._label_cells
        rows += frame.framed(painted(self._scene, view, plain=plain), self._labels, cells, plain=plain)
        return rows + frame.floor(view.window, self.axes, cells, line=height >= frame.WITH_FLOOR, plain=plain)

    def _current_view(self, width: int, height: int) -> View:
        """Return the view; found again, with its labels, where it was given up.

        The labels need room of their own, and how much is seen only when the view is there: it begins with the room
        they took the last time, and is found once more where they took another.
        """
        if self._view is None:
            unit, plain = self.axes.unit_pa, ascii_only(self)
            for _ in range(2):
                columns, rows = frame.room_for(width, height, self._label_cells)
                self._view = view_of(self._scene, columns, rows, unit_pa=unit, ahead=self._ahead)
                self._labels = frame.pressure_labels(self._view.window, self.axes, plain=plain)
                before, self._label_cells = self._label_cells, frame.label_cells(self._labels, width)
                if self._label_cells == before:
                    break
        assert self._view is not None  # the loop ran at least once
        return self._view
