"""What a curve shows, the window that holds it, and what it says in words."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from commission.domain.hold import Curve, HoldPicture
from commission.tui.widgets.curve_raster import Window

_FAR = 8e307
"""Where values are cut off so that the difference of two stays finite."""
_NO_CURVE = Curve(elapsed_s=(), pressure_pa=())


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveAxes:
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


@dataclass(slots=True)
class Scene:
    """Readings, which may grow at their end, and the lines of a picture."""

    times: list[float] = field(default_factory=list)
    """Times of the readings, in order [s]."""
    values: list[float] = field(default_factory=list)
    """The readings [Pa from the start]."""
    fit: Curve = _NO_CURVE
    """The fitted decay."""
    low: Curve = _NO_CURVE
    """Lower edge of the band."""
    high: Curve = _NO_CURVE
    """Upper edge of the band."""
    limit: Curve = _NO_CURVE
    """The decay at exactly the limit."""

    @classmethod
    def of(cls, picture: HoldPicture | None) -> "Scene":
        """Return the scene of a picture, empty where there is none."""
        if picture is None:
            return cls()
        return cls(
            times=list(picture.points.elapsed_s),
            values=list(picture.points.pressure_pa),
            fit=picture.fit,
            low=picture.low,
            high=picture.high,
            limit=picture.limit,
        )

    @property
    def empty(self) -> bool:
        """Whether there is nothing to draw."""
        return not self.times and not self.fit.elapsed_s and not self.limit.elapsed_s


def window_of(scene: Scene, columns: int, rows: int, *, unit_pa: float, ahead: float = 0.0) -> Window:
    """Return the window that holds all of the readings, the fit and the limit, and what there is room for of the band.

    `ahead` leaves that share of the time free at the right, so that the next readings need no new window.
    """
    curves = (scene.fit, scene.low, scene.high, scene.limit)
    starts = [*scene.times[:1], *(c.elapsed_s[0] for c in curves if c.elapsed_s)]
    ends = [*scene.times[-1:], *(c.elapsed_s[-1] for c in curves if c.elapsed_s)]
    t0, t1 = _range(starts + ends, 60.0)
    low, high = _range((*_ends(scene.values), *_ends(scene.fit.pressure_pa), *_ends(scene.limit.pressure_pa)), unit_pa)
    room = 0.6 * (high - low)
    band_low, band_high = _range((low, high, *_ends(scene.low.pressure_pa), *_ends(scene.high.pressure_pa)), unit_pa)
    low, high = max(band_low, low - room), min(band_high, high + room)
    margin = 0.04 * (high - low)
    return Window(
        t0=t0, t1=t1 + ahead * (t1 - t0), y0=low - margin, y1=high + margin, columns=max(1, columns), rows=max(1, rows)
    )


def _ends(values: Iterable[float]) -> tuple[float, ...]:
    ends = (min(values, default=0.0), max(values, default=0.0)) if values else ()
    if all(math.isfinite(end) for end in ends):
        return ends
    finite = [value for value in values if math.isfinite(value)]
    return (min(finite), max(finite)) if finite else ()


def _range(values: Iterable[float], least: float) -> tuple[float, float]:
    """Return the lowest and highest value, set apart where they are the same."""
    kept = [max(-_FAR, min(_FAR, value)) for value in values if math.isfinite(value)] or [0.0]
    low, high = min(kept), max(kept)
    apart = max(least, abs(low) * 1e-9)
    return (low, high) if high - low > abs(low) * 1e-12 else (low - apart / 2, high + apart / 2)


def summary_of(scene: Scene, axes: CurveAxes, width: int = 1000) -> str:
    """Return in words what the curve shows, in as many clauses as `width` characters hold."""
    if scene.empty:
        return ""
    count = len(scene.times)
    if count < 2 or not scene.fit.pressure_pa:
        return f"{count} reading{'s' if count != 1 else ''}, no fit yet"
    fall = _fall(scene.fit)
    clauses = [f"the fit {'falls' if fall >= 0 else 'rises'} by {axes.amount(abs(fall))}"]
    if scene.limit.pressure_pa:
        clauses.append(f"the limit line by {axes.amount(_fall(scene.limit))}")
    if scene.low.pressure_pa and scene.high.pressure_pa:
        clauses.append(f"the band from {axes.amount(_fall(scene.high))} to {axes.amount(_fall(scene.low))}")
    clauses.append(f"{count} points over {axes.time_text(scene.times[-1] - scene.times[0])}")
    said = clauses[0]
    for clause in clauses[1:]:
        if len(said) + len(clause) + 2 > width:
            break
        said = f"{said}, {clause}"
    return said


def _fall(curve: Curve) -> float:
    return curve.pressure_pa[0] - curve.pressure_pa[-1]
