"""Round numbers for the axes of a curve."""

import math
from typing import NamedTuple

TIME_STEPS_S = (
    *(1.0, 2.0, 5.0, 10.0, 15.0, 30.0),
    *(60.0 * m for m in (1, 2, 5, 10, 15, 30)),
    *(3600.0 * h for h in (1, 2, 3, 6, 12, 24, 48)),
)
"""Steps of a clock [s]."""
MOST_LABELS = 8
"""Labels of values beside a plot, at most; our choice: more are not read."""
FEW_LABELS = 4
"""Labels that even a low plot may have; our choice: then each of its rows has one."""
_LONGEST = 1e9
"""Values so many times their range away from 0 have no round numbers to tell them apart."""


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
    return multiples(low / unit, high / unit, step, unit)[:most]


class RowScale(NamedTuple):
    """Values that stand in the middle of the rows of a plot, so that a label says what its row shows."""

    low: float
    """Value at the lower edge of the lowest row."""
    high: float
    """Value at the upper edge of the highest row."""
    step: float
    """Between two labels: a round number, and a whole number of rows."""


def row_scale(low: float, high: float, rows: int) -> RowScale | None:
    """Return the finest scale that holds a range in so many rows; None where it is no range or too far from 0.

    Where a range begins at 0, the rows to spare lie above it, else on both sides.

    Examples
    --------
    >>> row_scale(0.0, 38.0, 9)  # nine rows, from 0 to 40
    RowScale(low=-2.5, high=42.5, step=20.0)
    >>> row_scale(-16.0, 0.0, 5)
    RowScale(low=-17.5, high=7.5, step=10.0)
    """
    span = high - low
    if rows < 2 or not math.isfinite(span) or span <= 0 or max(abs(low), abs(high)) > _LONGEST * span:
        return None
    power = 10.0 ** math.floor(math.log10(span / rows))
    found = (_by_step(low, high, rows, f * tenfold * power) for tenfold in (1.0, 10.0, 100.0) for f in (1.0, 2.0, 5.0))
    return min((scale for scale in found if scale), key=_room_lost, default=None)


def _room_lost(scale: RowScale) -> float:
    """Return what a scale shows, and a quarter more where two labels alone stand there: our choice."""
    shown = scale.high - scale.low
    return shown if shown >= 3.0 * scale.step else 1.25 * shown


def _by_step(low: float, high: float, rows: int, step: float) -> RowScale | None:
    """Return the finest scale with labels so far apart; None where not two of them, or too many, would be seen."""
    for between in range(rows, 0, -1) if math.isfinite(step) else ():
        row = step / between
        first, last = math.floor(low / row + 0.5), math.floor(high / row + 0.5)
        spare = rows - 1 - (last - first)
        if spare < 0:
            continue
        first -= 0 if low >= 0 else spare // 2
        labels = (first + rows - 1) // between - -(-first // between) + 1
        if 2 <= labels <= max(FEW_LABELS, min(MOST_LABELS, rows // 2)):
            scale = RowScale(low=(first - 0.5) * row, high=(first + rows - 0.5) * row, step=step)
            return scale if math.isfinite(scale.high - scale.low) else None
    return None


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
    return multiples(low, high, step, 1.0)[:most]


def multiples(low: float, high: float, step: float, unit: float) -> list[float]:
    """Return the multiples of a step; empty where the numbers are too large for the step to show."""
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    if last - first > 1000:
        return []
    return [n * step * unit + 0.0 for n in range(first, last + 1)]
