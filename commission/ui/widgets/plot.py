"""What every plot of the bench has in common: a legend, its words, axes, and what is painted between them."""

from typing import ClassVar

from textual.strip import Strip
from textual.widget import Widget

from commission.ui.widgets import curve_frame as frame
from commission.ui.widgets.curve_paint import Canvas, Layer, Run
from commission.ui.widgets.curve_raster import Window
from commission.ui.widgets.curve_scene import CurveAxes
from commission.ui.widgets.curve_ticks import time_ticks
from commission.ui.widgets.words import ascii_only, cut, fit, safe, wrap


class Plot(Widget):
    """A plot in braille dots, or in ASCII where the terminal asks for that; painted when data or size change.

    Parameters
    ----------
    axes
        How its axes are written.
    """

    DEFAULT_CSS = """
    Plot {
        height: 1fr;
        min-height: 1;
        & > .plot--nothing { color: $foreground; }
        & > .plot--reading { color: $foreground; text-style: bold; }
        & > .plot--fit { color: $primary; }
        & > .plot--limit { color: $warning; }
        & > .plot--band { color: $secondary 40%; }
        & > .plot--behind { background: $primary 15%; }
        & > .plot--axis { color: $text-muted; }
        & > .plot--text { color: $text-muted; }
    }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {f"plot--{layer}" for layer in Layer} | {"plot--behind"}

    def __init__(self, axes: CurveAxes) -> None:
        super().__init__()
        self.axes = axes
        self._label_cells = 0
        self._strips: list[Strip] | None = None

    def redraw(self) -> None:
        """Paint again."""
        self._strips = None
        self.refresh()

    def on_resize(self) -> None:
        """Paint again."""
        self.redraw()

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
            self._strips = frame.strips(self._paint(width, height), frame.styles_of(self), width)
        return self._strips[y] if y < len(self._strips) else Strip.blank(width, self.rich_style)

    # --- what each plot says for itself ------------------------------------------------------------------------

    @property
    def ticks(self) -> frame.Ticks:
        """The numbers along its floor."""
        return time_ticks

    @property
    def summary(self) -> str:
        """What it shows, in words."""
        raise NotImplementedError

    def summary_in(self, width: int) -> str:
        """Return what stands above it in so many cells."""
        return self.summary

    @property
    def empty(self) -> bool:
        """Whether there is nothing to paint, so that the words stand alone."""
        raise NotImplementedError

    def window(self, columns: int, rows: int) -> Window:
        """Return the window that holds all that is painted."""
        raise NotImplementedError

    def canvas(self, window: Window, *, plain: bool) -> Canvas:
        """Return what is painted in the window that was found last, without axes."""
        raise NotImplementedError

    def legend(self, width: int, columns: int, *, plain: bool) -> list[Run]:
        """Return what the signs mean, where so many columns are painted."""
        raise NotImplementedError

    # --- painting ----------------------------------------------------------------------------------------------

    def _paint(self, width: int, height: int) -> list[list[Run]]:
        plain = ascii_only(self)
        if self.empty or width < frame.LEAST_COLUMNS or height < frame.LEAST_ROWS:
            words = cut(wrap(safe(self.summary, plain), width), width, height, plain=plain)
            return [[Run(line, Layer.TEXT)] for line in words.split("\n")]
        window, labels = self._labelled(width, height, plain=plain)
        cells = self._label_cells
        painted = [self.legend(width, window.columns, plain=plain)]
        if height >= frame.WITH_SUMMARY:
            words = safe(self.summary_in(width), plain)
            painted.append([Run(fit(words, width, plain=plain), Layer.TEXT)])
        painted += frame.framed(self.canvas(window, plain=plain).rows(), labels, cells, plain=plain)
        line = height >= frame.WITH_FLOOR
        return painted + frame.floor(window, self.axes, cells, line=line, plain=plain, ticks=self.ticks)

    def _labelled(self, width: int, height: int, *, plain: bool) -> tuple[Window, dict[int, str]]:
        """Return the window with the labels of its values.

        They need room of their own, and how much is seen only when the window is there: it begins with the room they
        took the last time, and is found once more where they take another.
        """
        for _ in range(2):
            room = frame.room_for(width, height, self._label_cells)
            window = frame.on_round_rows(self.window(*room), self.axes.unit_pa)
            labels = frame.pressure_labels(window, self.axes, plain=plain)
            before, self._label_cells = self._label_cells, frame.label_cells(labels, width)
            if self._label_cells == before:
                break
        return window, labels
