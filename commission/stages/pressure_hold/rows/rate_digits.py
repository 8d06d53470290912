"""Leak rates of one verdict in plain decimals: as many places in all rows, and none that says less than the verdict."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.units.show import show

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.stages.pressure_hold.model import HoldVerdict

UNIT = "mbar·L/s"
_IN_UNIT = 10.0
"""1 Pa·m3/s in mbar·L/s: exact, 1 mbar is 100 Pa and 1 L is 1e-3 m3."""
_MOST_PLACES = 7
"""Our choice: more digits say nothing of a hold with a gauge."""


def places(verdict: HoldVerdict) -> int:
    """Return the decimals of the leak rates of a verdict.

    Two digits of the limit, one of the detection limit; more where a bound would else look like the limit itself.
    """
    limit, detected = verdict.limit_pa_m3_s * _IN_UNIT, (verdict.smallest_detectable or 0.0) * _IN_UNIT
    most = max(_decimals(limit, 2), _decimals(detected, 1))
    leak = verdict.leak_rate
    bounds = () if leak is None else tuple(si * _IN_UNIT for si in (leak.at_least, leak.at_most))
    while most < _MOST_PLACES and any(b != limit and f"{b:.{most}f}" == f"{limit:.{most}f}" for b in bounds):
        most += 1
    return min(most, _MOST_PLACES)


def rate_text(decimals: int) -> Callable[[float], str]:
    """Return how leak rates [Pa·m3/s] are written with so many decimals, without their unit; none is below zero.

    >>> [rate_text(3)(si) for si in (1.04e-4, 5.6e-4, -1e-5, math.inf)]
    ['0.001', '0.006', '0', 'unbounded']
    """

    def text(si: float) -> str:
        if not math.isfinite(si):
            return show(si, Quantity.LEAK_RATE)
        number = f"{max(0.0, si * _IN_UNIT):.{decimals}f}"
        return number if number.strip("0.") else "0"

    return text


def _decimals(value: float, digits: int) -> int:
    if not (math.isfinite(value) and value > 0):
        return 0
    return max(0, digits - 1 - math.floor(math.log10(value) + 1e-9))
