"""How far inside a limit a measured value must lie; agreed before anything is measured."""

from __future__ import annotations

import math
from statistics import NormalDist


def guard_band(u: float, *, confidence: float = 0.95) -> float:
    """Return how far inside a limit a value must lie to conform with a given probability.

    Parameters
    ----------
    u
        Standard uncertainty, 0 or more [any].
    confidence
        Smallest probability of conformity, 0.5 to below 1 [1].

    Returns
    -------
    float
        Guard band w [as u].

    Raises
    ------
    ValueError
        If u is negative or not finite, or confidence is out of range.

    Notes
    -----
    One limit matters, the other is far away or absent: w = z·u.

    Source: JCGM 106:2012, 7.3 (z of its Table 1) and 8.3.2 (clause from memory).

    Examples
    --------
    JCGM 106 Table 1 lists z = 1.64 for 95 %:

    >>> f"{guard_band(1.0):.2f}"
    '1.64'
    """
    if not (0 <= u < math.inf and 0.5 <= confidence < 1):
        raise ValueError("u must be 0 or more, the confidence 0.5 to below 1")
    return NormalDist().inv_cdf(confidence) * u
