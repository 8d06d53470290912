"""Sweeps for tests: from centres and the scatter of five samples, or row by row."""

from collections.abc import Iterable, Sequence

from commission.stages.fan_headers.model.sweep import Direction, Sweep, SweepReading

SIX = (30.0, 40.0, 50.0, 60.0, 80.0, 100.0)
"""The usual levels of a sweep [%]."""
FIVE_SAMPLES = (-6.0, 3.0, 0.0, 5.0, -4.0)
"""Scatter of the fixtures [rpm]; its variance is 21.3."""


def sampled(
    centres: Sequence[float], duties: Sequence[float] = SIX, *, scatter: Sequence[float] = FIVE_SAMPLES
) -> Sweep:
    """Return a sweep with samples about each centre; a centre of 0 stands still exactly."""
    return Sweep(
        readings=tuple(
            SweepReading(duty_pct=duty, rpm=centre + off if centre else 0.0)
            for duty, centre in zip(duties, centres, strict=True)
            for off in scatter
        )
    )


def once(speeds: Sequence[float], duties: Sequence[float]) -> Sweep:
    """Return a sweep with one reading a level."""
    return sampled(speeds, duties, scatter=(0.0,))


def both_ways(down: Iterable[tuple[float, float | None]], up: Iterable[tuple[float, float | None]]) -> Sweep:
    """Return a typed sweep with one reading a level each way, as pairs of duty and speed."""
    return Sweep(
        readings=(
            *(SweepReading(duty_pct=duty, rpm=rpm, direction=Direction.DOWN) for duty, rpm in down),
            *(SweepReading(duty_pct=duty, rpm=rpm, direction=Direction.UP) for duty, rpm in up),
        )
    )
