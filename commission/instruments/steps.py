"""One step of a display, found from the digits that it showed."""

import itertools
import math
from collections.abc import Iterable

_FINEST = 12
"""Decimals beyond which a float holds no more."""
_MANY = 20
"""From how many readings on the smallest difference is taken for a step."""


def step_of(
    values: Iterable[float], decimals: int, *, factor: float = 1.0, zero: float = 0.0, dial: bool = False
) -> float | None:
    """Return the coarsest step that the readings were surely shown with.

    Parameters
    ----------
    values
        Readings [SI]; NaN where nothing was read.
    decimals
        Most digits after the decimal sign in any of them, in the display's own unit.
    factor, zero
        SI units in one unit of the display, and the SI value of its zero.
    dial
        Whether it may be a dial that is read to tens.

    Returns
    -------
    float or None
        The step [SI]; None without readings.

    Notes
    -----
    Digits give 10^-decimals; whole numbers off a dial that are all tens give 10. From three different readings on,
    the greatest common divisor of their differences counts where it is larger (a display that shows 0.0, 0.5, 1.0),
    and from 20 readings on the smallest difference. A step that is taken too large widens the bounds and never
    narrows them.

    Examples
    --------
    >>> step_of([497.5, 497.0, 496.5, 496.5], 1), step_of([500.0, 500.0], 0, dial=True), step_of([21.3], 1)
    (0.5, 10.0, 0.1)
    """
    decimals = min(max(decimals, 0), _FINEST)
    shift = 10.0**decimals
    readings = [value for value in values if value == value]  # noqa: PLR0124 - NaN alone differs from itself
    if not readings:
        return None
    ticks = sorted({round((value - zero) / factor * shift) for value in set(readings)})
    base = 10 if dial and decimals == 0 and all(tick % 10 == 0 for tick in ticks) else 1
    if len(ticks) >= 3:
        gaps = [late - early for early, late in itertools.pairwise(ticks)]
        base = max(base, math.gcd(*gaps))
        if len(readings) >= _MANY:
            base = max(base, min(gaps))
    return base / shift * factor
