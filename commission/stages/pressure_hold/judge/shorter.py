"""What a builder can do about a hold that takes long, and how long it would take then."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.stages.pressure_hold.judge.capability import hold_capability

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.stages.pressure_hold.model import HoldSetup

SAVES = 0.8
"""A way is named where it takes at most this share of the time [1]; our choice: less is not worth a change."""
MOST = 3
"""Most ways that are named; our choice: one line."""
FINER = 10.0
"""How much finer the finer gauge is [1]; our choice: one more digit."""
AIR_STEP_K = 0.1
"""Step of the thermometer that would be hung up [K]; common practice, no source."""
BAROMETER_STEP_PA = 10.0
"""Step of the barometer that would be read [Pa]; common practice, no source."""


def shorter_holds(setup: HoldSetup, *, start_gauge_pa: float, every_s: float) -> tuple[tuple[str, float], ...]:
    """Return what would shorten a hold, each with the time after which it finds the limit, the shortest first.

    Parameters
    ----------
    start_gauge_pa
        Gauge pressure at the start, above 0 [Pa].
    every_s
        Time from one reading to the next, above 0 [s].

    Returns
    -------
    tuple
        What to do, and the time [s]; at most three, none where nothing saves a fifth.

    Raises
    ------
    ValueError
        If a value is not positive.
    """

    def needed(one: HoldSetup) -> float:
        found = hold_capability(one, start_gauge_pa=start_gauge_pa, hold_s=every_s, every_s=every_s).hold_needed_s
        return math.inf if found is None else found

    longest = SAVES * needed(setup)
    times = [(what, needed(other)) for what, other in _ways(setup)]
    saving = [one for one in times if one[1] <= longest and one[1] < math.inf]
    return tuple(sorted(saving, key=lambda one: one[1])[:MOST])


def _ways(setup: HoldSetup) -> Iterator[tuple[str, HoldSetup]]:
    if setup.needle_lags:
        yield "tapping the dial before each reading", replace(setup, needle_lags=False)
    yield (
        "a gauge ten times finer",
        replace(setup, gauge_step_pa=setup.gauge_step_pa / FINER, needle_lags=False, division_pa=0.0),
    )
    if setup.air_step_k is None:
        yield "a thermometer at the loop", replace(setup, air_step_k=AIR_STEP_K)
    if setup.barometer_step_pa is None and not setup.absolute:
        yield "a barometer", replace(setup, barometer_step_pa=BAROMETER_STEP_PA)
    half = replace(setup, volume_m3=setup.volume_m3 / 2, u_volume_m3=setup.u_volume_m3 / 2)
    yield "each half of the loop by itself", half
