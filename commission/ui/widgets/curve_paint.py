"""A scene painted on cells: dots are readings, drawn lines are computed, hatching is the band."""

import re
from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import NamedTuple

from commission.base.curve import Curve
from commission.base.frozen import Frozen
from commission.ui.widgets.curve_raster import BRAILLE, Extent, Window, along, dots
from commission.ui.widgets.curve_scene import Scene, View


class Layer(StrEnum):
    """What a cell belongs to; also the name of its style."""

    NOTHING = "nothing"
    BAND = "band"
    READING = "reading"
    FIT = "fit"
    LIMIT = "limit"
    AXIS = "axis"
    TEXT = "text"


class Run(NamedTuple):
    """Cells of one layer beside each other; a named tuple, since hundreds are made at each update."""

    text: str
    """The cells."""
    layer: Layer
    """What they belong to."""
    banded: bool = False
    """Whether the band lies behind them."""


class Signs(Frozen):
    """The signs of each layer."""

    reading: str
    """A single reading."""
    cloud: str
    """A sample of many readings, for the legend."""
    fit: tuple[str, str]
    """The fitted decay, drawn through: in the middle of a cell and at its foot."""
    limit: tuple[str, str]
    """The limit, drawn in every second cell: in the middle and at the foot."""
    band: str
    """The band."""
    rail: str
    """The pressure axis."""
    tick: str
    """The pressure axis at a tick."""
    corner: str
    """Where the axes meet."""
    floor: str
    """The time axis."""
    floor_tick: str
    """The time axis at a tick."""


UNICODE_SIGNS = Signs(
    reading="●",
    cloud="⣿",
    fit=("─", "_"),
    limit=("━", "▁"),
    band="░",
    rail="│",
    tick="┤",
    corner="└",
    floor="─",
    floor_tick="┬",
)
"""For a terminal with Unicode."""
ASCII_SIGNS = Signs(
    reading="o",
    cloud=":",
    fit=("-", "_"),
    limit=("=", "="),
    band="/",
    rail="|",
    tick="+",
    corner="+",
    floor="-",
    floor_tick="+",
)
"""For a terminal without."""


def signs_of(plain: bool) -> Signs:
    """Return the signs of a terminal, by whether it has no Unicode."""
    return ASCII_SIGNS if plain else UNICODE_SIGNS


_BRAILLE_CLOUD = tuple(chr(BRAILLE + bits) for bits in range(256))
_ASCII_CLOUD = tuple((":" if bits & 0xE4 else "'") if bits & 0x1B else "." for bits in range(256))
_LAYERS = tuple(Layer)
_CODE = {layer: code for code, layer in enumerate(_LAYERS)}
_READING, _BAND = _CODE[Layer.READING], _CODE[Layer.BAND]
_ALIKE = re.compile(rb"(.)\1*", re.DOTALL)
_BANDED = 0x80
"""Set in a cell's code where the band lies behind it."""


class Canvas:
    """Cells with a sign and a layer each; a layer is kept as a number, so that a row is a run of bytes."""

    def __init__(self, window: Window, *, plain: bool) -> None:
        self.window = window
        self.plain = plain
        self.signs = signs_of(plain)
        self._glyphs = [[" "] * window.columns for _ in range(window.rows)]
        self._layers = [bytearray(window.columns) for _ in range(window.rows)]
        self._dots = [bytearray(window.columns) for _ in range(window.rows)]

    def band(self, low: Curve, high: Curve) -> None:
        """Hatch what lies between two curves."""
        window, sign = self.window, self.signs.band
        lows = along(window, low.elapsed_s, low.pressure_pa)
        highs = along(window, high.elapsed_s, high.pressure_pa)
        for column, (down, up) in enumerate(zip(lows, highs, strict=True)):
            if down is None or up is None or down > window.y1 or up < window.y0:
                continue
            for row in range(window.height(up, 1), window.height(down, 1) + 1):
                self._glyphs[row][column] = sign
                self._layers[row][column] = _BAND | _BANDED

    def cloud(self, columns: Sequence[Extent | None]) -> None:
        """Draw a bar of dots in each pixel column."""
        self._dots = dots(self.window, columns)
        signs = _ASCII_CLOUD if self.plain else _BRAILLE_CLOUD
        for glyphs, layers, cells in zip(self._glyphs, self._layers, self._dots, strict=True):
            if not any(cells):
                continue
            for x, bits in enumerate(cells):
                if bits:
                    glyphs[x] = signs[bits]
                    layers[x] = layers[x] & _BANDED | _READING

    def level(self, value: float, signs: tuple[str, str], layer: Layer) -> None:
        """Draw a limit that is the same all along, rounded as marks are: none of those beyond it stands beneath it."""
        row = self.window.height(value, 1)
        for column in range(0, self.window.columns, 2):
            if self._dots[row][column] in (0, 0xFF):
                self._put(row, column, signs[0], _CODE[layer])

    def line(self, curve: Curve, signs: tuple[str, str], layer: Layer, *, every: int = 1, bends: bool = False) -> None:
        """Draw a line; where there is a cloud, only over cells that the cloud fills.

        With `bends` the cells in which its points lie show the points, not the middle of the cell: under their marks.
        """
        window = self.window
        values = along(window, curve.elapsed_s, curve.pressure_pa)
        if bends:
            for t, y in zip(curve.elapsed_s, curve.pressure_pa, strict=True):
                values[window.pixel_column(t) // 2] = y
        for column, value in enumerate(values):
            if value is None or column % every or not window.y0 <= value <= window.y1:
                continue
            row, foot = line_cell(window, value)
            if self._dots[row][column] in (0, 0xFF):
                self._put(row, column, signs[foot], _CODE[layer])

    def marks(self, readings: Iterable[tuple[float, float]], sign: str = "", *, on_line: bool = False) -> None:
        """Draw a mark for each reading, over everything else; another sign where one is given.

        A line may run along the foot of the row above its value: with `on_line` the mark stands in that row.
        """
        for t, y in readings:
            row = line_cell(self.window, y)[0] if on_line else self.window.height(y, 1)
            column = self.window.pixel_column(t) // 2
            self._put(row, column, sign or self.signs.reading, _READING)

    def rows(self) -> list[list[Run]]:
        """Return the cells, those alike beside each other joined."""
        return [_runs(*row) for row in zip(self._glyphs, self._layers, strict=True)]

    def _put(self, row: int, column: int, glyph: str, code: int) -> None:
        """Put a sign on a cell; the band stays behind it."""
        self._glyphs[row][column] = glyph
        self._layers[row][column] = self._layers[row][column] & _BANDED | code


def line_cell(window: Window, value: float) -> tuple[int, bool]:
    """Return the row in which a line shows a value, and whether at its foot: the nearest of two heights a row."""
    half = max(1, (window.height(value, 4) + 1) // 2)
    return (half - 1) // 2, half % 2 == 0


def _runs(glyphs: list[str], codes: bytearray) -> list[Run]:
    row = "".join(glyphs)
    return [
        Run(row[alike.start() : alike.end()], _LAYERS[codes[alike.start()] & ~_BANDED], codes[alike.start()] >= _BANDED)
        for alike in _ALIKE.finditer(codes)
    ]


def sparse(scene: Scene, columns: int) -> bool:
    """Return whether the readings are few enough to have a mark each."""
    return scene.count <= columns


def painted(scene: Scene, view: View, *, plain: bool) -> Canvas:
    """Return the plot without its axes: band, cloud, fit, limit, and single readings on top."""
    canvas = Canvas(view.window, plain=plain)
    canvas.band(scene.low, scene.high)
    few = sparse(scene, view.window.columns)
    if not few:
        canvas.cloud(view.columns)
    canvas.line(scene.fit, canvas.signs.fit, Layer.FIT)
    canvas.line(scene.limit, canvas.signs.limit, Layer.LIMIT, every=2)
    if few:
        canvas.marks(zip(scene.points.elapsed_s, scene.points.pressure_pa, strict=True))
    return canvas
