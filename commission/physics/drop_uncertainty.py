"""The uncertainty of a compensated drop that two readings give."""

import math
from dataclasses import dataclass

from commission.physics import require
from commission.physics.gas import absolute_pressure


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What was read at one end of a hold."""

    gauge_pa: float
    """Gauge pressure [Pa]."""
    barometer_pa: float
    """Pressure of the room [Pa]."""
    air_k: float
    """Temperature of the gas [K]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingErrors:
    """Standard uncertainties of the readings: what is new at each end, and what both ends share."""

    gauge_pa: float = 0.0
    """Of the gauge, independent at each end [Pa]."""
    barometer_pa: float = 0.0
    """Of the barometer, independent at each end [Pa]."""
    air_k: float = 0.0
    """Of the gas temperature, independent at each end [K]."""
    gauge_gain: float = 0.0
    """Of the gauge's scale, relative, shared [1]."""
    gauge_zero_pa: float = 0.0
    """Of the gauge's zero, shared [Pa]."""
    barometer_zero_pa: float = 0.0
    """Of the barometer's zero, shared [Pa]."""
    air_zero_k: float = 0.0
    """Of the thermometer's zero, shared [K]."""


def compensated_drop(start: State, end: State, reference_k: float) -> float:
    """Return the fall of the compensated pressure between two readings.

    Parameters
    ----------
    start
        First reading [Pa and K].
    end
        Second reading [Pa and K].
    reference_k
        Temperature to which the drop is referred, above 0 [K].

    Returns
    -------
    float
        Drop, positive for a loss [Pa].

    Raises
    ------
    ValueError
        If a value is not finite or not physical.

    Notes
    -----
    T_ref·(P1/T1 − P2/T2), with P = gauge + barometer.

    Source: ideal gas law at constant volume, as in 40 CFR 1065.644.

    Examples
    --------
    Hand calculation: 500.0, 1013.2 mbar at 21.5 °C, then 497.0, 1011.0 mbar at 21.1 °C: 1505.497 − 1502.363 mbar.

    >>> a = State(gauge_pa=50_000, barometer_pa=101_320, air_k=294.65)
    >>> b = State(gauge_pa=49_700, barometer_pa=101_100, air_k=294.25)
    >>> round(compensated_drop(a, b, 293.15) / 100, 3)
    3.134
    """
    require.positive(reference_k=reference_k, start_air_k=start.air_k, end_air_k=end.air_k)
    first = absolute_pressure(start.gauge_pa, start.barometer_pa)
    second = absolute_pressure(end.gauge_pa, end.barometer_pa)
    return reference_k * (first / start.air_k - second / end.air_k)


def drop_uncertainty(start: State, end: State, errors: ReadingErrors, reference_k: float) -> float:
    """Return the standard uncertainty of a compensated drop.

    Parameters
    ----------
    start
        First reading [Pa and K].
    end
        Second reading [Pa and K].
    errors
        Standard uncertainties of the readings, none negative [Pa, K and 1].
    reference_k
        Temperature to which the drop is referred, above 0 [K].

    Returns
    -------
    float
        Standard uncertainty [Pa].

    Raises
    ------
    ValueError
        If a value is not finite or not physical, or an uncertainty is negative.

    Notes
    -----
    First order. Independent parts enter at both ends; a shared zero enters only by the difference of the ends, and
    a shared gain by the change of the gauge. Display steps count in the independent parts as step/√12, which is too
    little where the display hardly moves (step/√3 on the drop is right there).

    Source: JCGM 100:2008, 5.1.2 and 5.2.2.

    Examples
    --------
    Hand calculation: only the gauge errs, 3 Pa at either end, all at the reference temperature: √2·3 Pa.

    >>> a = State(gauge_pa=50_000, barometer_pa=100_000, air_k=293.15)
    >>> round(drop_uncertainty(a, a, ReadingErrors(gauge_pa=3.0), 293.15), 6)
    4.242641
    """
    require.positive(reference_k=reference_k, start_air_k=start.air_k, end_air_k=end.air_k)
    require.not_negative(
        gauge_pa=errors.gauge_pa, barometer_pa=errors.barometer_pa, air_k=errors.air_k,
        gauge_gain=errors.gauge_gain, gauge_zero_pa=errors.gauge_zero_pa,
        barometer_zero_pa=errors.barometer_zero_pa, air_zero_k=errors.air_zero_k,
    )  # fmt: skip
    first = absolute_pressure(start.gauge_pa, start.barometer_pa) / start.air_k
    second = absolute_pressure(end.gauge_pa, end.barometer_pa) / end.air_k
    per_pa_1, per_pa_2 = 1 / start.air_k, 1 / end.air_k
    per_k_1, per_k_2 = first / start.air_k, second / end.air_k
    both_pa, shared_pa = math.hypot(per_pa_1, per_pa_2), per_pa_1 - per_pa_2
    return reference_k * math.hypot(
        both_pa * errors.gauge_pa,
        both_pa * errors.barometer_pa,
        math.hypot(per_k_1, per_k_2) * errors.air_k,
        (start.gauge_pa * per_pa_1 - end.gauge_pa * per_pa_2) * errors.gauge_gain,
        shared_pa * errors.gauge_zero_pa,
        shared_pa * errors.barometer_zero_pa,
        (per_k_1 - per_k_2) * errors.air_zero_k,
    )
