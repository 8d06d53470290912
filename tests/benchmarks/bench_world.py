"""An invented bench, simulated for many holds at once: room, gas, weather, leak, and what the instruments show.

Nothing of the program is used for the physics, so that it can contradict the judge. Ideal gas, rigid loop:
N = P·V·T_ref/T; dN/dt = −Q·(P² − pb²)/(P0² − pb0²); dT/dt = (air − T)/lag.
"""

import math

import numpy as np
from numpy.typing import NDArray

from commission.base.frozen import Frozen
from commission.stages.pressure_hold.model import HoldSeries, HoldSetup

Floats = NDArray[np.float64]
REFERENCE_K = 293.15
LIMIT = 1e-3
"""1e-2 mbar·L/s, the watertight class, in Pa·m3/s."""
VOLUME = 1.2e-3


class Cell(Frozen):
    """One condition of the study."""

    leak: float
    """True leak rate over the limit."""
    hold_s: float
    """Length of the hold."""
    step_pa: float
    """Step of the gauge's display."""
    swing_k: float
    """Swing of the room from lowest to highest, at most."""
    readings: int
    """How many readings; 0 for 1 Hz (10 s apart in holds longer than an hour)."""
    thermometer: bool = True
    """Whether the air is read."""
    limit: float = LIMIT
    """The limit."""

    @property
    def times(self) -> Floats:
        """When it is read."""
        if self.readings:
            return np.linspace(0.0, self.hold_s, self.readings)
        return np.arange(0.0, self.hold_s + 0.5, 1.0 if self.hold_s <= 3600 else 10.0)

    def setup(self) -> HoldSetup:
        """Return what the judge is told."""
        return HoldSetup(
            volume_m3=VOLUME,
            u_volume_m3=0.03 * VOLUME,
            limit_pa_m3_s=self.limit,
            gauge_step_pa=self.step_pa,
            air_step_k=0.1 if self.thermometer else None,
            barometer_step_pa=10.0,
        )


class Hold(Frozen):
    """What was read in one hold, and the truth."""

    series: HoldSeries
    true_rate: float


def _room(rng: np.random.Generator, times: Floats, runs: int, swing_k: float, hold_s: float) -> Floats:
    """Air over time, shape (times, runs): a one-way drift and a cycle.

    From half an hour before the hold on it keeps within swing_k from lowest to highest.
    """
    at = times[:, None]
    period = rng.uniform(900.0, 5400.0, runs)
    if hold_s > 6 * 3600:
        period = np.where(rng.random(runs) < 0.5, period, 86400.0)
    cycle = np.sin(2 * np.pi * (at / period + rng.random(runs)))
    pace = rng.uniform(0.2, 2.0, runs) * hold_s
    one_way = np.where(rng.random(runs) < 0.5, at / hold_s, 1 - np.exp(-(at - times[0]) / pace))
    drift = one_way * rng.choice([-1, 1], runs)
    share = rng.random(runs)
    path = share * drift + (1 - share) * cycle * rng.random(runs)
    inside = path[times >= -1800.0]
    low, high = inside.min(axis=0), inside.max(axis=0)
    shape = np.clip((path - low) / np.maximum(high - low, 1e-3), -0.5, 1.5)
    result: Floats = 294.15 + swing_k * rng.uniform(0.5, 1.0, runs) * shape
    return result


def _gas(rng: np.random.Generator, times: Floats, air: Floats) -> Floats:
    """Gas over time: lag of 2 to 12 min; half of the runs start level with the air, half already trail it."""
    runs = air.shape[1]
    lag = rng.uniform(120.0, 720.0, runs)
    level = rng.random(runs) < 0.5
    gas = np.empty_like(air)
    gas[0] = now = air[0]
    for i in range(1, times.size):
        if times[i - 1] <= 0 < times[i]:
            now = np.where(level, air[i - 1], now)
            gas[i - 1] = now
        keep = np.exp(-(times[i] - times[i - 1]) / lag)
        now = air[i] + (now - air[i]) * keep
        gas[i] = now
    return gas


def _wander(rng: np.random.Generator, times: Floats, runs: int, sd: float, memory_s: float) -> Floats:
    """A slow wander (AR(1)) of given standard deviation and memory."""
    noise = rng.standard_normal((times.size, runs))
    path = np.empty_like(noise)
    path[0] = now = noise[0]
    for i in range(1, times.size):
        keep = math.exp(-(times[i] - times[i - 1]) / memory_s)
        now = keep * now + math.sqrt(1 - keep * keep) * noise[i]
        path[i] = now
    return sd * path


def _pressure(cell: Cell, grid: Floats, gas: Floats, weather: Floats, volume: Floats) -> Floats:
    """True absolute pressure over time, by the midpoint rule."""
    start = 50000.0 + weather[0]
    drive0 = start**2 - weather[0] ** 2
    amount = start * volume * REFERENCE_K / gas[0]
    pressure = np.empty_like(gas)
    pressure[0] = start
    rate = cell.leak * cell.limit
    for i in range(1, grid.size):
        step = grid[i] - grid[i - 1]
        first = amount * gas[i - 1] / (volume * REFERENCE_K)
        half = amount - rate * (first**2 - weather[i - 1] ** 2) / drive0 * step / 2
        tk, pb = (gas[i - 1] + gas[i]) / 2, (weather[i - 1] + weather[i]) / 2
        middle = np.maximum(half * tk / (volume * REFERENCE_K), pb)
        amount = amount - rate * (middle**2 - pb**2) / drive0 * step
        pressure[i] = amount * gas[i] / (volume * REFERENCE_K)
    return pressure


def _noise(rng: np.random.Generator, cell: Cell, times: Floats, runs: int) -> Floats:
    """Scatter of the gauge before rounding: none, white, or with memory; a person's dial reading scatters 0.3 steps."""
    white = rng.standard_normal((times.size, runs))
    if cell.readings:
        return max(0.3 * cell.step_pa, 2.0) * white
    slow = _wander(rng, times, runs, 1.0, 20.0)
    kind = rng.integers(0, 4, runs)
    kinds = [kind == 0, kind == 1, kind == 2]
    return cell.step_pa * np.select(kinds, [0.02 * white, 0.4 * white, 1.0 * white], 0.5 * slow)


def holds(cell: Cell, runs: int, seed: list[int]) -> list[Hold]:
    """Simulate some holds of one cell."""
    rng = np.random.default_rng(seed)
    times = cell.times
    fine = np.linspace(0.0, cell.hold_s, 721)
    grid = times if times.size > 700 else np.union1d(fine, times)
    before = np.arange(-5400.0, 0.0, 30.0)
    whole = np.concatenate([before, grid])
    room = _room(rng, whole, runs, cell.swing_k, cell.hold_s)
    gas = _gas(rng, whole, room)[before.size :]
    air = room[before.size :]
    slope = rng.uniform(-100.0, 100.0, runs) / 3600
    if cell.hold_s > 6 * 3600:
        slope /= 4
    weather = 100800.0 + slope * grid[:, None] + _wander(rng, grid, runs, 60.0, 6 * 3600.0)
    volume = VOLUME * (1 + 0.03 * rng.standard_normal(runs))
    pressure = _pressure(cell, grid, gas, weather, volume)
    at = np.searchsorted(grid, times)
    gauge = (pressure - weather)[at] * (1 + 0.01 * rng.standard_normal(runs))
    gauge += _noise(rng, cell, times, runs) + cell.step_pa * rng.uniform(-0.5, 0.5, runs)
    shown = np.round(gauge / cell.step_pa) * cell.step_pa
    thermometer = air[at] + _wander(rng, times, runs, 0.03, 1800.0) + rng.uniform(-0.5, 0.5, runs)
    thermometer = np.round(thermometer / 0.1) * 0.1
    barometer = np.round((weather[at] + 3.0 * rng.standard_normal((times.size, runs))) / 10) * 10
    nothing = np.full(times.size, math.nan)
    return [
        Hold(
            series=HoldSeries(
                elapsed_s=times,  # type: ignore[arg-type]
                pressure_pa=shown[:, i],  # type: ignore[arg-type]
                air_k=thermometer[:, i] if cell.thermometer else nothing,  # type: ignore[arg-type]
                barometer_pa=barometer[:, i],  # type: ignore[arg-type]
            ),
            true_rate=cell.leak * cell.limit,
        )
        for i in range(runs)
    ]
