"""A picture as SVG: attributes only, no style sheet, so that whatever draws it draws it alike."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.bench.chart import Look
from commission.report.colours import BAND, INK, QUIET
from commission.report.markup import Markup, element

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.bench.chart import Band, Chart, Line

WIDTH, HEIGHT = 420.0, 240.0
"""Size of a picture in its own units; our choice: two stand side by side on a page, and are still read."""
LEFT, RIGHT, TOP, BOTTOM = 48.0, 12.0, 40.0, 40.0
"""Room around the axes: numbers at the left, names at the top."""
TICKS = 5
"""Most marks of an axis; our choice: they stay apart at this size."""


class Room(Frozen):
    """Where values come to stand on paper."""

    x0: float
    """Value at the left edge."""
    x1: float
    """Value at the right edge."""
    y0: float
    """Value at the lower edge."""
    y1: float
    """Value at the upper edge."""

    def x(self, value: float) -> float:
        """Return where a value stands along the axis."""
        return LEFT + (value - self.x0) / (self.x1 - self.x0) * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        """Return where a value stands up the axis."""
        return HEIGHT - BOTTOM - (value - self.y0) / (self.y1 - self.y0) * (HEIGHT - TOP - BOTTOM)


def svg(chart: Chart, name: str) -> Markup:
    """Return a picture; ``name`` is unique on the page."""
    room = _room(chart)
    parts = [element("title", chart.title, id=f"{name}-t"), element("desc", chart.said, id=f"{name}-d")]
    parts += [_band(band, room) for band in chart.bands]
    parts += _axes(chart, room)
    for line in chart.lines:
        parts += _line(line, room)
    parts += _names(chart)
    return element(
        "svg",
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH:g} {HEIGHT:g}",
        role="img",
        aria_labelledby=f"{name}-t {name}-d",
    )


def _room(chart: Chart) -> Room:
    xs = [x for line in chart.lines for x in line.x] + [x for band in chart.bands for x in band.x]
    ys = [y for line in chart.lines for y in line.y]
    ys += [y for band in chart.bands for y in (*band.low, *band.high) if math.isfinite(y)]
    (x0, x1), (y0, y1) = _apart(xs), _apart(ys)
    aside, margin = 0.03 * (x1 - x0), 0.06 * (y1 - y0)
    return Room(x0=x0 - aside, x1=x1 + aside, y0=y0 - margin, y1=y1 + margin)


def _apart(values: list[float]) -> tuple[float, float]:
    low, high = min(values, default=0.0), max(values, default=1.0)
    return (low, high) if high > low else (low - 0.5, low + 0.5)


def ticks(low: float, high: float, *, counted: bool = False) -> list[float]:
    """Return round numbers between two values, few of them; whole ones where things are counted.

    >>> ticks(0.0, 62.0), ticks(-1.2, 0.1)
    ([0.0, 20.0, 40.0, 60.0], [-1.0, -0.5, 0.0])
    >>> ticks(0.97, 2.03), ticks(0.97, 2.03, counted=True)
    ([1.0, 1.5, 2.0], [1.0, 2.0])
    """
    power = 10.0 ** math.floor(math.log10((high - low) / TICKS))
    step = next(f * power for f in (1.0, 2.0, 5.0, 10.0) if (high - low) / (f * power) <= TICKS)
    step = max(step, 1.0) if counted else step
    return [n * step + 0.0 for n in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _axes(chart: Chart, room: Room) -> Iterator[Markup]:
    left, right, floor = LEFT, WIDTH - RIGHT, HEIGHT - BOTTOM
    yield _stroke("polyline", points=f"{left:g},{TOP:g} {left:g},{floor:g} {right:g},{floor:g}", stroke=QUIET)
    for value in ticks(room.x0, room.x1, counted=all(float(x).is_integer() for line in chart.lines for x in line.x)):
        x = room.x(value)
        yield _stroke("line", x1=f"{x:.1f}", x2=f"{x:.1f}", y1=f"{floor:g}", y2=f"{floor + 4:g}", stroke=QUIET)
        yield _text(x, floor + 16, f"{value:g}", "middle", QUIET)
    for value in ticks(room.y0, room.y1):
        y = room.y(value)
        yield _stroke("line", x1=f"{left - 4:g}", x2=f"{left:g}", y1=f"{y:.1f}", y2=f"{y:.1f}", stroke=QUIET)
        yield _text(left - 7, y + 4, f"{value:g}", "end", QUIET)
    yield _text(right, floor + 32, chart.across, "end", QUIET)
    yield _text(4, 13, chart.up, "start", QUIET)


def _names(chart: Chart) -> Iterator[Markup]:
    """Yield what each sign means, in the row above the picture."""
    x = LEFT + 6
    for line in chart.lines:
        yield from _sign(line.look, x)
        yield _text(x + 24, 29, line.name, "start", INK)
        x += 40 + 6.2 * len(line.name)
    for band in chart.bands:
        yield element("rect", x=f"{x:.1f}", y="20", width="18", height="10", fill=BAND)
        yield _text(x + 24, 29, band.name, "start", INK)
        x += 40 + 6.2 * len(band.name)


def _sign(look: Look, x: float) -> Iterator[Markup]:
    if look in (Look.DOTS, Look.RINGS):
        yield _mark(look, x + 9, 25)
    else:
        yield _path(look, [(x, 25.0), (x + 18, 25.0)])


def _line(line: Line, room: Room) -> Iterator[Markup]:
    points = [(room.x(x), room.y(y)) for x, y in zip(line.x, line.y, strict=True)]
    if line.look in (Look.DOTS, Look.RINGS):
        return (_mark(line.look, x, y) for x, y in points)
    return iter((_path(line.look, points),))


def _path(look: Look, points: Iterable[tuple[float, float]]) -> Markup:
    at = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dashes = {"stroke_dasharray": "7 4"} if look is Look.DASHED else {}
    return _stroke("polyline", points=at, stroke=INK, **dashes)


def _mark(look: Look, x: float, y: float) -> Markup:
    at = {"cx": f"{x:.1f}", "cy": f"{y:.1f}"}
    if look is Look.DOTS:
        return element("circle", r="2.2", fill=INK, **at)
    return element("circle", r="3.6", fill="none", stroke=INK, stroke_width="1.2", **at)


def _band(band: Band, room: Room) -> Markup:
    there = [(x, low, high) for x, low, high in zip(band.x, band.low, band.high, strict=True)]
    down = [(room.x(x), room.y(high)) for x, _, high in there]
    up = [(room.x(x), room.y(low)) for x, low, _ in reversed(there)]
    return element("polygon", points=" ".join(f"{x:.1f},{y:.1f}" for x, y in (*down, *up)), fill=BAND)


def _stroke(tag: str, **attributes: str) -> Markup:
    return element(tag, fill="none", stroke_width="1.4", **attributes)


def _text(x: float, y: float, text: str, anchor: str, fill: str) -> Markup:
    at = {"x": f"{x:.1f}", "y": f"{y:.1f}"}
    return element("text", text, font_size="11", font_family="Inter, sans-serif", text_anchor=anchor, fill=fill, **at)
