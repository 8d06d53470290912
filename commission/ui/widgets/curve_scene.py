"""What a curve shows, the window that holds it, and what it says in words."""

import math
from collections.abc import Callable, Iterable
from typing import Protocol

from commission.base.curve import Curve
from commission.base.frozen import Frozen
from commission.base.text import counted
from commission.ui.widgets.curve_raster import Extent, Window, extents

_FAR = 8e307
"""Where values are cut off so that the difference of two stays finite."""
_NO_CURVE = Curve(elapsed_s=(), pressure_pa=())


class Picture(Protocol):
    """What is drawn: readings, a fitted line, the band around it, and a limit."""

    @property
    def points(self) -> Curve:
        """The readings, in order."""

    @property
    def fit(self) -> Curve:
        """The fitted line."""

    @property
    def low(self) -> Curve:
        """Lower edge of its band."""

    @property
    def high(self) -> Curve:
        """Upper edge of its band."""

    @property
    def limit(self) -> Curve:
        """What it is held against."""


class CurveAxes(Frozen):
    """How the axes are written, in the reader's units."""

    time_text: Callable[[float], str]
    """Seconds to text."""
    pressure_text: Callable[[float], str]
    """Pascals to text; without the unit where `unit` gives it."""
    unit_pa: float = 1.0
    """One of the reader's units [Pa]: ticks stand at round numbers of it."""
    unit: str = ""
    """The reader's unit, written once above the curve."""

    def amount(self, pressure_pa: float) -> str:
        """Return a pressure with its unit."""
        text = self.pressure_text(pressure_pa)
        return f"{text} {self.unit}" if self.unit else text


class Scene(Frozen):
    """The readings and lines of a picture."""

    points: Curve = _NO_CURVE
    """The readings of the picture, in order."""
    fit: Curve = _NO_CURVE
    """The fitted decay."""
    low: Curve = _NO_CURVE
    """Lower edge of the band."""
    high: Curve = _NO_CURVE
    """Upper edge of the band."""
    limit: Curve = _NO_CURVE
    """The decay at exactly the limit."""

    @classmethod
    def of(cls, picture: Picture | None) -> "Scene":
        """Return the scene of a picture, empty where there is none."""
        if picture is None:
            return cls()
        return cls(points=picture.points, fit=picture.fit, low=picture.low, high=picture.high, limit=picture.limit)

    @property
    def count(self) -> int:
        """How many readings there are."""
        return len(self.points.elapsed_s)

    @property
    def empty(self) -> bool:
        """Whether there is nothing to draw."""
        return not self.count and not self.fit.elapsed_s and not self.limit.elapsed_s

    @property
    def span_s(self) -> tuple[float, ...]:
        """Times of the first and the last reading [s]; nothing where there are none."""
        times = self.points.elapsed_s
        return (times[0], times[-1]) if times else ()


class View(Frozen):
    """A window on a scene, and how far the readings reach in each of its pixel columns."""

    window: Window
    """The window."""
    columns: list[Extent | None]
    """Lowest and highest reading of each pixel column."""


def view_of(scene: Scene, columns: int, rows: int, *, unit_pa: float) -> View:
    """Return a view that holds all of the readings, the fit and the limit, and what there is room for of the band.

    The readings are gone through once: the columns give the range of values.
    """
    curves = (scene.fit, scene.low, scene.high, scene.limit)
    ends = [end for c in curves if c.elapsed_s for end in (c.elapsed_s[0], c.elapsed_s[-1])]
    t0, t1 = _range((*scene.span_s, *ends), 60.0)
    found = extents(t0, t1, 2 * max(1, columns), scene.points.elapsed_s, scene.points.pressure_pa)
    reach = [end for extent in found if extent is not None for end in extent]
    low, high = _range((*reach, *scene.fit.pressure_pa, *scene.limit.pressure_pa), unit_pa)
    room = 0.6 * (high - low)
    band_low, band_high = _range((low, high, *scene.low.pressure_pa, *scene.high.pressure_pa), unit_pa)
    low, high = max(band_low, low - room), min(band_high, high + room)
    window = Window(t0=t0, t1=t1, y0=low, y1=high, columns=max(1, columns), rows=max(1, rows))
    return View(window=window, columns=found)


def _range(values: Iterable[float], least: float) -> tuple[float, float]:
    """Return the lowest and highest value, set apart where they are the same."""
    kept = [value for value in values if math.isfinite(value)] or [0.0]
    low, high = max(-_FAR, min(kept)), min(_FAR, max(kept))
    apart = max(least, abs(low) * 1e-9)
    return (low, high) if high - low > abs(low) * 1e-12 else (low - apart / 2, high + apart / 2)


def summary_of(scene: Scene, axes: CurveAxes, width: int = 1000) -> str:
    """Return in words what the curve shows, in as many clauses as `width` characters hold."""
    if scene.empty:
        return ""
    count = scene.count
    if count < 2 or not scene.fit.pressure_pa:
        return f"{counted(count, 'reading')}, no fit yet"
    fall = _fall(scene.fit)
    clauses = [f"the fit {'falls' if fall >= 0 else 'rises'} by {axes.amount(abs(fall))}"]
    if scene.limit.pressure_pa:
        clauses.append(f"the limit line by {axes.amount(_fall(scene.limit))}")
    if scene.low.pressure_pa and scene.high.pressure_pa:
        clauses.append(f"the band from {axes.amount(_fall(scene.high))} to {axes.amount(_fall(scene.low))}")
    clauses.append(f"{count} points over {axes.time_text(scene.span_s[1] - scene.span_s[0])}")
    said = clauses[0]
    for clause in clauses[1:]:
        if len(said) + len(clause) + 2 > width:
            break
        said = f"{said}, {clause}"
    return said


def _fall(curve: Curve) -> float:
    return curve.pressure_pa[0] - curve.pressure_pa[-1]
