"""Reasons for which readings cannot carry a verdict at all."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.quantity import Amount, Phrase, Quantity
from commission.physics.detection import resolution_uncertainty
from commission.statistics.correlation import corrected_lag1, effective_count, lag1

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.series import Columns, Floats
    from commission.stages.pressure_hold.judge.variants import Variant
    from commission.stages.pressure_hold.model import HoldSeries, HoldSetup

DENSE = 20
"""From this many readings on a gap is an interruption [1]; our choice: with fewer the gaps are as typed, with more a
logger was running."""
LONGEST_GAP_S = 900.0
"""The longest gap that a dense series may have [s]; our choice: three times the usual spacing."""
FEWEST = 8
"""With fewer readings a gauge that stands still may be a coincidence [1]; our choice: seven equal readings happen
with a tight loop and a still room."""
HELD_SHARE = 0.05
"""A gauge that fell by a larger share of its start was not held up by a source [1]; our choice: an open source holds
far better than a twentieth."""
FINE_PA = 20.0
"""Steps up to which gauge and barometer hardly agree by chance [Pa]; our choice: a hundredth of the 20 mbar that
weather spreads over, so that of holds at one bar one in fifty does."""
MOVED_STEPS = 3.0
"""Steps by which the weather must have moved on a coarser display [1]; our choice: two are rounding."""
LEAST_START_PA = 2000.0
"""Gauge pressure below which a hold tests nothing [Pa]; our choice: a tenth of what a filled loop sees at its pump,
no joint is loaded, and 1 K moves 3.5 mbar there."""


def refuse_readings(series: HoldSeries) -> Phrase | None:
    """Refuse columns that no arithmetic can work with.

    Air and barometer may be NaN where they were not read, but not infinite, and not 0 or below.
    """
    import numpy as np

    times, pressure, air, weather = (
        np.asarray(column, dtype=np.float64)
        for column in (series.elapsed_s, series.pressure_pa, series.air_k, series.barometer_pa)
    )
    if not times.size == pressure.size == air.size == weather.size:
        return Phrase("columns_differ", "The columns of readings have different lengths.")
    if times.size < 2:
        return Phrase(
            "too_few_readings", "There are fewer than two readings: take one at the start and one at the end."
        )
    if not (np.isfinite(times).all() and np.isfinite(pressure).all()):
        return Phrase("value_not_finite", "A time or a pressure is not a number.")
    if np.isinf(air).any() or np.isinf(weather).any() or (air <= 0).any() or (weather <= 0).any():
        return Phrase("value_not_finite", "A temperature or a barometer reading is impossible.")
    if not (np.diff(times) > 0).all():
        return Phrase("clock_stepped", "Time stands still or runs backwards between two readings.")
    return None


def refuse_start(seen: Columns) -> Phrase | None:
    """Refuse a hold whose pressure or timing tests nothing.

    The start pressure must be 20 mbar. How coarse the gauge is does not matter here: its steps are in the bounds, and
    nobody should pump up further for the sake of a gauge.
    """
    if float(seen.absolute_pa.min()) <= 0:
        return Phrase("pressure_impossible", "An absolute pressure is zero or below: check the units of the gauge.")
    start = float(seen.gauge_pa[: max(1, seen.gauge_pa.size // 20)].mean())
    if start < LEAST_START_PA:
        return Phrase(
            "start_pressure_too_small",
            "The start pressure {0} is too small to test anything; a hold starts at {1} at least.",
            (Amount(Quantity.GAUGE_PRESSURE, start), Amount(Quantity.GAUGE_PRESSURE, LEAST_START_PA)),
        )
    return None


def shows_the_room(seen: Columns, setup: HoldSetup) -> Phrase | None:
    """Refuse gauge readings that are the barometer's own: an absolute sensor on a loop that is open.

    Notes
    -----
    All of them within a step of the coarser display. A loop that is held at just one atmosphere looks so too; on a
    fine display that is rare, and the sentence tells the way out. A coarse one agrees by chance, so there the weather
    must have moved and the gauge with it: in a loop that is shut in it moves the other way.
    """
    import numpy as np

    if setup.absolute or not seen.barometer_readings:
        return None
    step = max(setup.gauge_step_pa, setup.barometer_step_pa or 0.0)
    apart = float(np.abs(seen.gauge_pa - seen.barometer_pa).max())
    moved = float(seen.barometer_pa.max() - seen.barometer_pa.min())
    if apart > step or (step > FINE_PA and moved < MOVED_STEPS * step):
        return None
    said = "The gauge shows what the barometer shows, {0}: a sensor of absolute pressure on an open loop does that. "
    said += "Head its column absolute; else hold at another pressure."
    return Phrase("shows_the_room", said, (Amount(Quantity.ABSOLUTE_PRESSURE, float(seen.barometer_pa.mean())),))


def interrupted(series: HoldSeries) -> Phrase | None:
    """Refuse a dense series with a long gap.

    From 20 readings on; longer than 15 min and than a quarter of the hold.
    """
    import numpy as np

    times = np.asarray(series.elapsed_s, dtype=np.float64)
    if times.size < DENSE:
        return None
    steps = np.diff(times)
    at = int(np.argmax(steps))
    gap = float(steps[at])
    if gap <= max(LONGEST_GAP_S, 0.25 * float(times[-1] - times[0])):
        return None
    return Phrase(
        "interrupted",
        "Nothing was read for {0}, from {1} on: what happened then is not known.",
        (Amount(Quantity.DURATION, gap), Amount(Quantity.DURATION, float(times[at]))),
    )


def rose(upper: float, fall_pa: float) -> Phrase | None:
    """Refuse a hold whose compensated pressure rose beyond chance and every known term.

    Parameters
    ----------
    upper
        Upper 99.9 % bound of the leak rate [Pa·m3/s].
    fall_pa
        Fall of the compensated pressure, negative for a rise [Pa].

    Notes
    -----
    A tight loop does not gain gas: the source feeds it, the loop warms where the thermometer does not lie, or water
    dries in it.
    """
    if upper >= 0:
        return None
    return Phrase(
        "pressure_rose",
        ("The corrected pressure rose by {0}, which no loop does by itself. Source shut? Loop warming? Water inside?"),
        (Amount(Quantity.PRESSURE_DIFFERENCE, -fall_pa),),
    )


def source_open(seen: Columns, setup: HoldSetup, found: list[Variant]) -> Phrase | None:
    """Refuse a hold whose gauge did not follow the temperature and the barometer as shut-in gas must.

    Parameters
    ----------
    found
        The variants of the gas temperature, at least one.

    Notes
    -----
    The gauge reading is regressed on what shut-in gas would do, beside a straight line for the leak. Shut-in gas
    gives a slope of 1, a pressure held by a regulator 0. It is refused only where the upper 99.9 % bound of the slope
    is below 0.3 for every lag of the gas, and the expected movement is well above steps and scatter. A gauge that
    never moved although 8 steps were expected is refused as well. A gauge that fell by 5 % of the start pressure was
    held up by nothing.
    """
    if setup.absolute or not seen.air_known or seen.readings < FEWEST:
        return None
    if float(seen.gauge_pa[0] - seen.gauge_pa[-1]) > HELD_SHARE * float(seen.gauge_pa[0]):
        return None
    slopes = []
    moves = []
    for one in found:
        expected = seen.absolute_pa.mean() * (one.gas_k / one.gas_k.mean()) - seen.barometer_pa
        moves.append(float(expected[-1] - expected[0]))
        slopes.append(_follow(seen, expected, setup.gauge_step_pa))
    still = _still(seen, moves, setup.gauge_step_pa)
    if still or (seen.readings >= DENSE and max(slopes) < 0.3):
        return Phrase(
            "source_not_isolated",
            ("The gauge hardly followed temperature and barometer (by about {0}): the source is probably open."),
            (Amount(Quantity.PRESSURE_DIFFERENCE, max(abs(move) for move in moves)),),
        )
    return None


def _still(seen: Columns, moves: list[float], step_pa: float) -> bool:
    """Return whether the gauge stood still although shut-in gas would have moved it.

    A leak can hide a rise by chance, so there the gauge must have stood perfectly still; nothing but a source can
    hide a fall.
    """
    import numpy as np

    least = min(abs(move) for move in moves)
    if least < 8 * step_pa or min(moves) * max(moves) < 0:
        return False
    means = [float(part.mean()) for part in np.array_split(seen.gauge_pa, 8)]
    share = 0.25 if moves[0] < 0 else 0.015
    return max(means) - min(means) <= max(share * least, step_pa)


def _follow(seen: Columns, expected: Floats, step_pa: float) -> float:
    """Return the upper bound of the slope of gauge on expected movement; infinite where that moved too little."""
    movement, gauge = _unbent(seen, expected), _unbent(seen, seen.gauge_pa)
    power = float(movement @ movement)
    size = math.sqrt(power / movement.size)
    if size < max(step_pa, 10.0):
        return math.inf
    slope = float(movement @ gauge) / power
    rest = gauge - slope * movement
    count = effective_count(movement.size, min(corrected_lag1(lag1(rest), movement.size), 0.99), least=5.0)
    noise = math.hypot(math.sqrt(float(rest @ rest) / movement.size), resolution_uncertainty(step_pa))
    return slope + 3.1 * noise / (size * math.sqrt(count - 4)) if count > 4 else math.inf


def _unbent(seen: Columns, values: Floats) -> Floats:
    """Return values without their best parabola in time."""
    since = (seen.elapsed_s - seen.first_s) / seen.span_s
    since = since - since.mean()
    square = since * since
    square = square - square.mean() - since * float(since @ square) / float(since @ since)
    rest: Floats = values - values.mean()
    for shape in (since, square):
        power = float(shape @ shape)
        if power > 0:
            rest = rest - shape * (float(shape @ rest) / power)
    return rest
