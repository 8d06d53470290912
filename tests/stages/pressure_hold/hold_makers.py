"""Holds made by plain arithmetic, for the tests of the judge: gas law, closed viscous solution, rounding."""

import math
import random
from collections.abc import Callable, Sequence

from commission.base.frozen import replace
from commission.stages.pressure_hold.model import HoldSeries, HoldSetup

NAN = math.nan
SETUP = HoldSetup(
    volume_m3=1.2e-3,
    u_volume_m3=3e-5,
    limit_pa_m3_s=1e-3,
    gauge_step_pa=10.0,
    air_step_k=0.1,
    barometer_step_pa=10.0,
)
"""1.2 L, the watertight limit of 1e-2 mbar·L/s, a gauge with steps of 0.1 mbar."""
EXACT = replace(SETUP, u_volume_m3=0.0, gauge_gain_u=0.0, gas_lag_s=0.0)
"""The same with a volume and a gauge scale that are known, and gas that follows the air at once."""


def series(
    elapsed_s: Sequence[float],
    pressure_pa: Sequence[float],
    air_k: Sequence[float] | None = None,
    barometer_pa: Sequence[float] | None = None,
) -> HoldSeries:
    """Return a series; columns that were not read are NaN."""
    nothing = [NAN] * len(elapsed_s)
    return HoldSeries(
        elapsed_s=elapsed_s,
        pressure_pa=pressure_pa,
        air_k=nothing if air_k is None else air_k,
        barometer_pa=nothing if barometer_pa is None else barometer_pa,
    )


def viscous_gauge(gauge_pa: float, outside_pa: float, rate: float, volume_m3: float, elapsed_s: float) -> float:
    """Return the gauge pressure of a viscous leak at one temperature: g/(g + 2·pb) falls exponentially."""
    k = rate / (volume_m3 * gauge_pa * (gauge_pa + 2 * outside_pa))
    share = gauge_pa / (gauge_pa + 2 * outside_pa) * math.exp(-2 * outside_pa * k * elapsed_s)
    return 2 * outside_pa * share / (1 - share)


def still(_t: float) -> float:
    """Return a temperature that does not change."""
    return 294.15


def made(
    rate: float,
    *,
    hold_s: float = 3600.0,
    every_s: float = 10.0,
    setup: HoldSetup = SETUP,
    air: Callable[[float], float] = still,
    extra_pa: Callable[[float], float] = lambda _t: 0.0,
    noise_pa: float = 4.0,
    seed: int = 1,
    weather_pa: Callable[[float], float] = lambda _t: 101000.0,
    start_pa: float = 50000.0,
) -> HoldSeries:
    """Return a hold of gas at air temperature, with noise and displays with steps."""
    rng = random.Random(seed)
    times = [i * every_s for i in range(int(hold_s / every_s) + 1)]
    outside = weather_pa(0.0)
    shown, airs, weathers = [], [], []
    for t in times:
        moles = viscous_gauge(start_pa, outside, rate, setup.volume_m3, t) + outside
        gauge = moles * air(t) / air(0.0) - weather_pa(t) + extra_pa(t) + noise_pa * rng.gauss(0, 1)
        shown.append(_rounded(gauge, setup.gauge_step_pa))
        airs.append(_rounded(air(t), setup.air_step_k or 0.0) if setup.air_step_k is not None else NAN)
        weathers.append(_rounded(weather_pa(t), 10.0))
    return series(times, shown, airs, weathers)


def _rounded(value: float, step: float) -> float:
    return round(value / step) * step if step else value
