"""The curve of a hold: compensated readings, fitted decay, its band and the limit, told apart without colour."""

from collections.abc import Iterator

from commission.base.frozen import replace
from commission.stages.pressure_hold.model import HoldPicture
from commission.ui.widgets.curve_frame import Form, in_room
from commission.ui.widgets.curve_paint import Canvas, Layer, Run, painted, signs_of, sparse
from commission.ui.widgets.curve_raster import Window
from commission.ui.widgets.curve_scene import CurveAxes, Scene, View, summary_of, view_of
from commission.ui.widgets.plot import Plot
from commission.ui.widgets.words import safe

__all__ = ["CurveAxes", "HoldCurve"]

_PLAIN_AXES = CurveAxes(time_text=lambda s: f"{s:g} s", pressure_text=lambda pa: f"{pa:g}", unit="Pa")


class HoldCurve(Plot):
    """Pressure over time."""

    def __init__(self, axes: CurveAxes | None = None) -> None:
        super().__init__(axes or _PLAIN_AXES)
        self._scene = Scene()
        self._empty = ""
        self._view: View | None = None

    def show(self, picture: HoldPicture | None, *, empty: str = "", axes: CurveAxes | None = None) -> None:
        """Show a picture in place of the last; None shows the `empty` sentence."""
        self._scene, self._empty = Scene.of(picture), empty
        self.axes = axes or self.axes
        self.redraw()

    @property
    def summary(self) -> str:
        """What the curve shows, in words."""
        return summary_of(self._scene, self.axes) or self._empty

    def summary_in(self, width: int) -> str:
        """Return as many clauses of it as so many cells hold."""
        return summary_of(self._scene, self.axes, width)

    @property
    def empty(self) -> bool:
        """Whether there is nothing to draw."""
        return self._scene.empty

    def window(self, columns: int, rows: int) -> Window:
        """Return the window that holds readings, fit and limit; how far the readings reach in it is kept."""
        self._view = view_of(self._scene, columns, rows, unit_pa=self.axes.unit_pa)
        return self._view.window

    def canvas(self, window: Window, *, plain: bool) -> Canvas:
        """Return band, readings, fit and limit."""
        assert self._view is not None  # the window was found before
        return painted(self._scene, replace(self._view, window=window), plain=plain)

    def legend(self, width: int, columns: int, *, plain: bool) -> list[Run]:
        """Return in words only what is drawn."""
        return in_room(_forms(self._scene, safe(self.axes.unit, plain), columns, plain=plain), width)


def _forms(scene: Scene, unit: str, columns: int, *, plain: bool) -> Iterator[Form]:
    signs = signs_of(plain)
    entries = (
        (signs.reading if sparse(scene, columns) else signs.cloud, Layer.READING, "readings", "read", scene.count > 0),
        (signs.fit[0] * 2, Layer.FIT, "fitted decay", "fit", bool(scene.fit.elapsed_s)),
        (signs.band * 2, Layer.BAND, "bounds", "band", bool(scene.low.elapsed_s)),
        (f"{signs.limit[0]} {signs.limit[0]}", Layer.LIMIT, "limit", "limit", bool(scene.limit.elapsed_s)),
    )
    for long, caption, gap in (
        (True, f"{unit} from the start".strip(), "   "),
        (True, unit, "   "),
        (True, unit, "  "),
        (True, "", "  "),
        (False, unit, "  "),
        (False, "", "  "),
        (False, "", " "),
    ):
        shown = [(sign, words, word, layer) for sign, layer, words, word, drawn in entries if drawn]
        yield (
            caption and f"{caption}{gap}",
            gap,
            [(sign if long else sign[0], words if long else word, layer) for sign, words, word, layer in shown],
        )
