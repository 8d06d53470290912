"""A loss so large that even a coarse gauge proves it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.physics.gas import pressure_change
from commission.physics.leak import leak_drop
from commission.stages.pressure_hold.judge.terms import weather_swing_pa

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.settled import Settled

COARSE_STEPS = 20.0
"""A gauge whose start pressure has fewer steps is coarse [1]; our choice: below it one step is a twentieth of all."""
ROUNDING_STEPS = 1.5
"""Steps that two readings may be wrong by together [1]; our choice: one for rounding, a half for the reader."""
STEADY_K = 0.3
"""What gas and thermometer may differ by [K]; our choice: as beside a loop in a quiet room."""
AFTER_S = 600.0
"""Time that must lie between the readings [s]; our choice: heat of pumping is gone in a few minutes."""


def coarse_but_lost(settled: Settled) -> float | None:
    """Return the loss that a coarse gauge proves beyond the limit.

    Parameters
    ----------
    settled
        The judged part with its fits.

    Returns
    -------
    float or None
        Fall from the first to the last reading that is certain [Pa]; None where the gauge is fine, or the fall is
        not beyond what a leak of the limit makes.

    Raises
    ------
    ZeroDivisionError
        If the volume is 0.

    Notes
    -----
    (g0 − gn) − 1.5 steps − 0.3 K·P/T > (1 + 3·u_V/V)·L·H/V. Without a thermometer the swing of the room stands in the
    place of 0.3 K, without a barometer its wander is taken off too.

    Source: our choice; simulated holds of coarse dials.
    """
    part, setup, line = settled.part, settled.part.setup, settled.fitted[0].line
    seen = part.seen
    if line.start_gauge_pa >= COARSE_STEPS * setup.gauge_step_pa or part.span_s < AFTER_S:
        return None
    warm = STEADY_K if seen.air_known else setup.room_swing_k
    weather = weather_swing_pa(part.span_s) if not setup.absolute and seen.barometer_readings < 2 else 0.0
    fall = float(seen.gauge_pa[part.begin] - seen.gauge_pa[part.end - 1])
    heat = pressure_change(line.start_pa, setup.reference_k, warm)
    certain = fall - ROUNDING_STEPS * setup.gauge_step_pa - heat - weather
    permitted = leak_drop(setup.limit_pa_m3_s, setup.volume_m3, part.span_s)
    return certain if certain > (1 + 3 * setup.u_volume_m3 / setup.volume_m3) * permitted else None
