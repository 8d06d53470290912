"""Round numbers for the axes of a curve."""

import math

TIME_STEPS_S = (
    *(1.0, 2.0, 5.0, 10.0, 15.0, 30.0),
    *(60.0 * m for m in (1, 2, 5, 10, 15, 30)),
    *(3600.0 * h for h in (1, 2, 3, 6, 12, 24, 48)),
)
"""Steps of a clock [s]."""


def round_step(least: float) -> float:
    """Return the smallest of 1, 2, 2.5 and 5 times a power of ten that is not below `least`.

    Examples
    --------
    >>> [round_step(x) for x in (0.9, 1.3, 2.1, 2.6, 7.0)]
    [1.0, 2.0, 2.5, 5.0, 10.0]
    """
    power = 10.0 ** math.floor(math.log10(least))
    return next((f * power for f in (1.0, 2.0, 2.5, 5.0) if f * power >= least * (1 - 1e-9)), 10.0 * power)


def value_ticks(low: float, high: float, most: int, unit: float = 1.0) -> list[float]:
    """Return at most `most` round numbers of `unit` from low to high; none where the range is no range.

    Examples
    --------
    >>> value_ticks(-130.0, 20.0, 4, unit=100.0)
    [-100.0, -50.0, 0.0]
    """
    span = (high - low) / unit
    if most < 1 or not math.isfinite(span) or span <= 0:
        return []
    step = round_step(span / most)
    return _multiples(low / unit, high / unit, step, unit)[:most]


def time_ticks(low: float, high: float, most: int) -> list[float]:
    """Return at most `most` times on the steps of a clock.

    Examples
    --------
    >>> time_ticks(0.0, 4000.0, 5)
    [0.0, 900.0, 1800.0, 2700.0, 3600.0]
    """
    span = high - low
    if most < 1 or not math.isfinite(span) or span <= 0:
        return []
    step = next((s for s in TIME_STEPS_S if span / s < most), 0.0) or 86_400.0 * round_step(span / most / 86_400.0)
    return _multiples(low, high, step, 1.0)[:most]


def _multiples(low: float, high: float, step: float, unit: float) -> list[float]:
    """Return the multiples of a step; empty where the numbers are too large for the step to show."""
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    if last - first > 1000:
        return []
    return [n * step * unit + 0.0 for n in range(first, last + 1)]
