"""The readings of a hold as columns to be judged: filled in, averaged, with the gas temperature they imply."""

from __future__ import annotations

import math
from array import array
from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

from commission.base.frozen import Frozen
from commission.physics.gas import STANDARD_ATMOSPHERE_PA, absolute_pressure
from commission.stages.pressure_hold.model import HoldSeries
from commission.statistics.drop_width import block_means

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from commission.stages.pressure_hold.model import HoldSetup

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]

BINS = 400
"""A longer series is averaged into this many bins before anything is fitted [1]; our choice: far more than any fit
needs, and quick."""
SPARSE_AIR_S = 300.0
"""Air readings further apart than this leave room for a swing that nobody saw [s]; our choice: a door or the sun
moves a room within ten minutes, so half of that."""


class Columns(Frozen):
    """One hold, averaged into m ≤ 400 bins; a short series has one bin a reading."""

    elapsed_s: Floats
    """Mean time of the bin since the hold began [s], shape (m,)."""
    gauge_pa: Floats
    """Gauge pressure: as read, or absolute minus barometer [Pa], shape (m,)."""
    absolute_pa: Floats
    """Absolute pressure [Pa], shape (m,)."""
    barometer_pa: Floats
    """Barometer, filled in between readings [Pa], shape (m,)."""
    air_k: Floats
    """Air temperature, filled in between readings; the reference temperature where there is none [K], shape (m,)."""
    near_air: Flags
    """Whether an air reading lies in the bin, shape (m,)."""
    scatter_pa: float
    """Standard deviation of the readings inside their bins [Pa]; 0 with one reading a bin."""
    readings: int
    """Readings of the gauge [1]."""
    air_readings: int
    """Readings of the thermometer [1]; fewer than 2 say nothing of a change."""
    barometer_readings: int
    """Readings of the barometer [1]."""
    air_gap_s: float
    """Median time between air readings [s]."""
    air_outside_s: float
    """Longest time before the first or after the last air reading [s]."""
    barometer_gap_s: float
    """Median time between barometer readings [s]."""
    barometer_outside_s: float
    """Longest time before the first or after the last barometer reading [s]."""
    display_range_pa: float
    """Highest minus lowest reading of the gauge [Pa]."""
    first_s: float
    """Time of the first reading [s]."""
    last_s: float
    """Time of the last reading [s]."""

    @property
    def span_s(self) -> float:
        """Time from the first to the last reading [s]."""
        return self.last_s - self.first_s

    @property
    def air_known(self) -> bool:
        """Whether a change of the air can be seen at all."""
        return self.air_readings >= 2

    @property
    def air_sparse(self) -> bool:
        """Whether the air was read so seldom that only the gauge readings beside it can be compensated."""
        return self.air_known and self.air_gap_s > SPARSE_AIR_S


def as_arrays(series: HoldSeries) -> HoldSeries:
    """Return the same readings with columns that are converted once and for all.

    Parameters
    ----------
    series
        The readings; lists, array('d') or numpy arrays [SI].

    Returns
    -------
    HoldSeries
        The readings in numpy arrays [SI].

    Notes
    -----
    A list goes through array('d'), which is twice as fast as numpy's own conversion.
    """
    import numpy as np

    def convert(column: Sequence[float]) -> Sequence[float]:
        packed = array("d", column) if isinstance(column, list | tuple) else column
        return cast("Sequence[float]", np.asarray(packed, dtype=np.float64))

    return HoldSeries(
        elapsed_s=convert(series.elapsed_s),
        pressure_pa=convert(series.pressure_pa),
        air_k=convert(series.air_k),
        barometer_pa=convert(series.barometer_pa),
    )


def _filled(times: Floats, values: Floats, default: float) -> tuple[Floats, Flags]:
    """Interpolate a column linearly where it was not read, flat outside."""
    import numpy as np

    given = np.isfinite(values)
    count = int(given.sum())
    if count == given.size:
        return values, given
    if count == 0:
        return np.full(times.size, default), given
    return np.interp(times, times[given], values[given]), given


def _gaps(times: Floats, given: Flags) -> tuple[float, float]:
    """Return the median gap between readings, and the longest time outside them."""
    import numpy as np

    seen = times[given]
    if seen.size < 2:
        return math.inf, float(times[-1] - times[0])
    return float(np.median(np.diff(seen))), float(max(seen[0] - times[0], times[-1] - seen[-1]))


def columns(series: HoldSeries, setup: HoldSetup) -> Columns:
    """Fill in and average the readings of a hold.

    Parameters
    ----------
    series
        Readings, at least 2, times strictly increasing, pressures finite [SI].

    Raises
    ------
    ValueError
        If the columns differ in length or a time or pressure is not finite.

    Notes
    -----
    Where no barometer was read the standard atmosphere stands in.

    Means lose nothing for a straight line; 400 bins keep a jump to a quarter of a percent of the hold.

    Examples
    --------
    >>> from commission.stages.pressure_hold.model import HoldSeries, HoldSetup
    >>> nan = float("nan")
    >>> read = HoldSeries(elapsed_s=[0, 60, 120], pressure_pa=[50000, 49990, 49980], air_k=[293, nan, 294],
    ...     barometer_pa=[nan, nan, nan])
    >>> setup = HoldSetup(volume_m3=0.001, u_volume_m3=0, limit_pa_m3_s=1e-3, gauge_step_pa=10)
    >>> columns(read, setup).air_k.tolist()
    [293.0, 293.5, 294.0]
    """
    import numpy as np

    times = np.asarray(series.elapsed_s, dtype=np.float64)
    pressure = np.asarray(series.pressure_pa, dtype=np.float64)
    air, air_given = _filled(times, np.asarray(series.air_k, dtype=np.float64), setup.reference_k)
    weather, weather_given = _filled(times, np.asarray(series.barometer_pa, dtype=np.float64), STANDARD_ATMOSPHERE_PA)
    air_gap, air_outside = _gaps(times, air_given)
    weather_gap, weather_outside = _gaps(times, weather_given)
    n = times.size
    bins = min(n, BINS)
    starts = np.arange(bins) * n // bins
    mean_pressure = block_means(pressure, bins)
    mean_weather = block_means(weather, bins)
    squares = float(np.square(pressure - np.repeat(mean_pressure, np.diff(np.append(starts, n)))).sum())
    return Columns(
        elapsed_s=block_means(times, bins),
        gauge_pa=mean_pressure - mean_weather if setup.absolute else mean_pressure,
        absolute_pa=mean_pressure if setup.absolute else absolute_pressure(mean_pressure, mean_weather),
        barometer_pa=mean_weather,
        air_k=block_means(air, bins),
        near_air=np.add.reduceat(air_given, starts) > 0,
        scatter_pa=math.sqrt(squares / (n - bins)) if n > bins else 0.0,
        readings=n,
        air_readings=int(air_given.sum()),
        barometer_readings=int(weather_given.sum()),
        air_gap_s=air_gap,
        air_outside_s=air_outside,
        barometer_gap_s=weather_gap,
        barometer_outside_s=weather_outside,
        display_range_pa=float(pressure.max() - pressure.min()),
        first_s=float(times[0]),
        last_s=float(times[-1]),
    )


def gas_temperature(elapsed_s: Floats, air_k: Floats, lag_s: float, *, ramping: bool) -> Floats:
    """Return the temperature of gas that follows the air with a lag of first order.

    Parameters
    ----------
    elapsed_s
        Times, strictly increasing, shape (m,) [s].
    air_k
        Air temperature, straight between the times, shape (m,) [K].
    lag_s
        Time constant; 0 for gas at air temperature [s].
    ramping
        Whether the gas already trails the first slope of the air at the start; otherwise it starts at the
        temperature of the air [true or false].

    Returns
    -------
    numpy.ndarray
        Gas temperature, shape (m,) [K].

    Notes
    -----
    dT/dt = (T_air − T)/lag, solved exactly from time to time for air that is straight between them. The first slope
    of the air is taken over one lag or a quarter of the hold, whichever is shorter.

    Source: Newton's law of cooling.

    Examples
    --------
    Air that jumped and stays: one time constant later 63.2 % of the way (1 − 1/e).

    >>> import numpy as np
    >>> gas = gas_temperature(np.array([0.0, 1e-6, 600.0]), np.array([293.0, 294.0, 294.0]), 600.0, ramping=False)
    >>> round(float(gas[-1]) - 293, 3)
    0.632
    """
    import numpy as np

    if lag_s <= 0:
        return air_k
    level = 0.0
    if ramping:
        within = elapsed_s <= elapsed_s[0] + max(min(lag_s, (elapsed_s[-1] - elapsed_s[0]) / 4), 1e-9)
        count = max(int(within.sum()), 2)
        level = -lag_s * float(np.polyfit(elapsed_s[:count] - elapsed_s[0], air_k[:count], 1)[0])
    steps = np.diff(elapsed_s) / lag_s
    decay = np.exp(-steps)
    slopes = np.diff(air_k) / steps
    # level is gas minus air; over one interval it relaxes towards minus the slope of the air times the lag
    trail = [level]
    for keep, slope in zip(decay.tolist(), slopes.tolist(), strict=True):
        level = (level + slope) * keep - slope
        trail.append(level)
    gas: Floats = air_k + np.asarray(trail)
    return gas
