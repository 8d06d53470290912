"""Jumps of the pressure in the middle of a hold: pumped again, touched, or let down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.domain.quantity import Amount, Phrase, Quantity

if TYPE_CHECKING:
    from commission.domain.hold import HoldSetup
    from commission.evaluate.hold_series import Columns, Floats

DENSE = 40
"""From this many readings on jumps are looked for in runs of readings, below between neighbours [1]."""


def find_jump(seen: Columns, setup: HoldSetup, compensated_pa: Floats) -> Phrase | None:
    """Refuse a hold with a jump that no leak makes.

    Parameters
    ----------
    seen
        The readings [SI].
    setup
        The set-up [SI].
    compensated_pa
        Pressure compensated with the air temperature as read, shape (m,) [Pa].

    Returns
    -------
    Phrase or None
        Why it is refused.

    Raises
    ------
    IndexError
        If there are fewer than 2 readings.

    Notes
    -----
    A jump must show in the gauge itself and in the compensated pressure: a sudden change of the air shows only in
    the second, slow weather in neither. Up is refused from 1.6 steps and 6 standard deviations on, down only where
    the pressure stood still before and after.
    """
    if seen.elapsed_s.size < DENSE:
        return _sparse(seen, setup, compensated_pa)
    run = 3 if seen.elapsed_s.size < 100 else 5
    gauge, inside = _jumps(seen.gauge_pa, run), _jumps(compensated_pa, run)
    up = _least(seen, setup, gauge, inside, up=True)
    if up is not None:
        return up
    return _let_down(seen, setup, compensated_pa, run)


def _jumps(values: Floats, run: int) -> Floats:
    """Return, between neighbouring bins, the median of the run after minus that of the run before."""
    import numpy as np

    windows = np.lib.stride_tricks.sliding_window_view(values, run)
    middle = np.median(windows, axis=1)
    result: Floats = middle[run:] - middle[:-run]
    return result


def _spread(jumps: Floats) -> tuple[float, float]:
    """Return the usual jump and a robust standard deviation, from the side where no event is looked for."""
    import numpy as np

    usual = float(np.median(jumps))
    near = 1.4826 * float(np.median(np.abs(jumps - usual)))
    # half of the jumps of a display that flickers are 0, so the middle alone would see no scatter
    far = (usual - float(np.quantile(jumps, 0.05))) / 1.645
    return usual, max(near, far)


def _least(seen: Columns, setup: HoldSetup, gauge: Floats, inside: Floats, *, up: bool) -> Phrase | None:
    """Refuse a jump upwards."""
    import numpy as np

    least = max(1.6 * setup.gauge_step_pa, 20.0)
    both = np.minimum(gauge, inside)
    at = int(np.argmax(both))
    for jumps in (gauge, inside):
        usual, sd = _spread(jumps)
        if jumps[at] - max(usual, 0.0) < max(6 * sd, least):
            return None
    return _pumped(float(both[at]), float(seen.elapsed_s[at + (seen.elapsed_s.size - both.size) // 2]))


def _pumped(height: float, at: float) -> Phrase:
    """Say that the pressure went up."""
    return Phrase(
        "pressure_stepped_up",
        "The pressure went up by {0} at {1}: it was pumped again or the source opened. Start a new hold.",
        (Amount(Quantity.PRESSURE_DIFFERENCE, height), Amount(Quantity.DURATION, at)),
    )


def _sparse(seen: Columns, setup: HoldSetup, compensated_pa: Floats) -> Phrase | None:
    """Refuse a rise from one reading to the next that neither instruments nor the room explain."""
    import numpy as np

    per_k = float(compensated_pa.mean()) / setup.reference_k
    unseen = setup.room_swing_k * (0.6 if seen.air_known else 1.0)
    weather = 2000.0 if not setup.absolute and seen.barometer_readings < 2 else 0.0
    least = max(5 * setup.gauge_step_pa, 3 * setup.gauge_step_pa + 1.5 * per_k * unseen + weather)
    up = np.minimum(np.diff(compensated_pa), np.diff(seen.gauge_pa))
    at = int(np.argmax(up))
    if up[at] < least:
        return None
    return _pumped(float(up[at]), float(seen.elapsed_s[at + 1]))


def _let_down(seen: Columns, setup: HoldSetup, compensated_pa: Floats, run: int) -> Phrase | None:
    """Refuse a fall at once with stillness before and after."""
    import numpy as np

    falls = -_jumps(compensated_pa, run)
    middle = slice(max(run, falls.size // 20), None)
    at = int(np.argmax(falls[middle])) + (middle.start or 0)
    height = float(falls[at])
    usual, sd = _spread(falls)
    if height - usual < max(8 * sd, 3 * setup.gauge_step_pa, 100.0):
        return None
    before = float(compensated_pa[0] - compensated_pa[at])
    after_at = min(at + 2 * run, compensated_pa.size - 1)
    after = float(compensated_pa[after_at] - compensated_pa[-1])
    if abs(before) + abs(after) > 0.25 * height:
        return None
    return Phrase(
        "pressure_stepped_down",
        "The pressure fell at once by {0} at {1} and stood still before and after: it was let down or touched, or a "
        "part gave way. Look at the loop and start a new hold.",
        (
            Amount(Quantity.PRESSURE_DIFFERENCE, height),
            Amount(Quantity.DURATION, float(seen.elapsed_s[min(at + run, seen.elapsed_s.size - 1)])),
        ),
    )
