"""Invented holds to be drawn."""

import random
from collections.abc import Callable, Sequence

from commission.base.curve import Curve
from commission.stages.pressure_hold.model import HoldPicture
from commission.stages.pressure_hold.plot.curve import CurveAxes

NOTHING = Curve(elapsed_s=(), pressure_pa=())

AXES = CurveAxes(
    time_text=lambda s: f"{int(s) // 3600}:{int(s) % 3600 // 60:02}",
    pressure_text=lambda pa: f"{pa / 100:g}",
    unit_pa=100.0,
    unit="mbar",
)
"""Hours and minutes, and millibars."""


def decay(fall_pa: float, last_s: float = 3600.0) -> Curve:
    """A straight fall from nothing."""
    times = tuple(last_s * i / 50 for i in range(51))
    return Curve(elapsed_s=times, pressure_pa=tuple(-fall_pa * t / last_s for t in times))


def hold(
    readings: Sequence[tuple[float, float]], *, fall: float = 130.0, last_s: float = 3600.0, limit: float = 320.0
) -> HoldPicture:
    """A picture of these readings with a fit, a band and a limit."""
    return HoldPicture(
        points=Curve(elapsed_s=tuple(t for t, _ in readings), pressure_pa=tuple(y for _, y in readings)),
        fit=decay(fall, last_s),
        low=decay(1.6 * fall, last_s),
        high=decay(0.5 * fall, last_s),
        limit=decay(limit, last_s),
    )


def noisy(count: int, *, noise: float = 15.0, last_s: float = 3600.0) -> list[tuple[float, float]]:
    """Readings that fall by 130 Pa, with noise."""
    rng = random.Random(7)
    return [(last_s * i / (count - 1), -130.0 * i / (count - 1) + rng.gauss(0.0, noise)) for i in range(count)]


def one_reading() -> HoldPicture:
    """A single reading and no line."""
    return HoldPicture(
        points=Curve(elapsed_s=(60.0,), pressure_pa=(0.0,)), fit=NOTHING, low=NOTHING, high=NOTHING, limit=NOTHING
    )


PICTURES: dict[str, Callable[[], HoldPicture | None]] = {
    "nothing": lambda: None,
    "one reading": one_reading,
    "few readings": lambda: hold(noisy(19)),
    "many readings": lambda: hold(noisy(3000)),
    "a display that does not move": lambda: hold([(60.0 * i, 0.0) for i in range(60)], fall=0.0, limit=0.0),
    "steps": lambda: hold([(float(i), -50.0 * (i // 700)) for i in range(3600)]),
    "huge": lambda: hold([(0.0, -1e308), (1.0, 1e308), (1e300, 0.0)]),
    "tiny": lambda: hold([(0.0, 1e-300), (1.0, 2e-300)], fall=1e-300, limit=2e-300),
    "a rise": lambda: hold(noisy(40), fall=-90.0),
    "no number": lambda: hold([(float(i), float("nan") if i % 5 == 0 else -1.0 * i) for i in range(300)]),
}
"""One of each kind."""
