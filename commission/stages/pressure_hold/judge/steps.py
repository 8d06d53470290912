"""The step of a gauge that nobody stated, guessed from what it showed."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

COARSEST_SHARE = 0.2
"""A step is never guessed larger than this share of the start pressure [1]; our choice: a loss is no step."""


def guessed_step(digits_pa: float, pressure_pa: Sequence[float], start_gauge_pa: float) -> float:
    """Return the step of a gauge from its digits and from the values that it showed.

    Parameters
    ----------
    digits_pa
        Step that the digits alone imply, above 0 [Pa].
    pressure_pa
        Readings, shape (n,) [Pa].
    start_gauge_pa
        Gauge pressure of the first reading, above 0 [Pa].

    Returns
    -------
    float
        The larger of the digits' step and the smallest difference between two values shown, at most a fifth of the
        start pressure [Pa].

    Raises
    ------
    ValueError
        If there is no reading.

    Notes
    -----
    A dial with divisions of 25 mbar shows 500 and 475 and no digit tells that nothing lies between. A step that is
    guessed too large widens the bounds and never narrows them. Our choice; without it divisions of 25 mbar gave false
    passes in simulated holds.

    Examples
    --------
    >>> guessed_step(1000.0, [50000.0, 50000.0, 48000.0], 50000.0)
    2000.0
    """
    import numpy as np

    shown = np.unique(np.asarray(pressure_pa, dtype=np.float64))
    if shown.size == 0:
        raise ValueError("there is no reading")
    gaps = np.diff(shown)
    # two texts of one value may differ in their last bits after conversion
    gaps = gaps[gaps > 1e-6 * digits_pa]
    found = max(digits_pa, float(gaps.min())) if gaps.size else digits_pa
    return min(found, COARSEST_SHARE * start_gauge_pa) if start_gauge_pa > 0 else found
