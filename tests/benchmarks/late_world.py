"""Invented holds of known truth, one by one: a leak that may grow in the middle, a room, weather, and what disturbs.

Nothing of the program is used for the physics, so that it can contradict the judge. Ideal gas, rigid loop:
N = P·V·T_ref/T; dN/dt = −Q·(P² − pb²)/(P0² − pb0²); dT/dt = (air − T)/lag.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from commission.stages.pressure_hold.model import HoldSeries, HoldSetup

Floats = NDArray[np.float64]
LIMIT = 1e-3
"""1e-2 mbar·L/s, the watertight class, in Pa·m3/s."""
VOLUME = 1.2e-3
START = 50_000.0
EFFECTS = (
    "quiet", "gas lag", "sun", "door", "drift", "stiction", "creep", "recovery", "evaporating drops", "weather front",
    "wrong volume",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A gauge as it is used: the finer it is, the shorter the hold and the closer the readings."""

    name: str
    step_pa: float
    hold_s: float
    every_s: float


GAUGES = (
    Gauge(name="0.1 mbar", step_pa=10.0, hold_s=3600.0, every_s=20.0),
    Gauge(name="1 mbar", step_pa=100.0, hold_s=3600.0, every_s=300.0),
    Gauge(name="5 mbar", step_pa=500.0, hold_s=7200.0, every_s=300.0),
    Gauge(name="20 mbar dial", step_pa=2000.0, hold_s=4 * 3600.0, every_s=900.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """One condition."""

    gauge: Gauge
    thermometer: bool
    leak: float
    """Leak rate over the limit at the start."""
    later: float = 0.0
    """Leak rate over the limit from the onset on."""
    onset: float = 1.0
    """Onset over the length of the hold."""
    effect: str = "quiet"

    @property
    def setup(self) -> HoldSetup:
        """Return what the judge is told."""
        return HoldSetup(
            volume_m3=VOLUME,
            u_volume_m3=(0.15 if self.effect == "wrong volume" else 0.05) * VOLUME,
            limit_pa_m3_s=LIMIT,
            gauge_step_pa=self.gauge.step_pa,
            air_step_k=0.1 if self.thermometer else None,
            barometer_step_pa=10.0,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What was read, and the truth."""

    series: HoldSeries
    extra_pa: float
    """By how much the gauge fell more because the leak grew."""


def _air(rng: np.random.Generator, bench: Bench, t: Floats) -> tuple[Floats, Floats]:
    """Return the air and what the loop gains beyond it [K]: the sun falls on the loop, not on the thermometer."""
    swing, hold = rng.uniform(0.1, 0.4), bench.gauge.hold_s
    cycle = np.sin(2 * math.pi * (t / rng.uniform(1800.0, 7200.0) + rng.random()))
    air = 294.15 + swing / 2 * cycle + rng.uniform(-0.3, 0.3) * t / hold
    gained = np.zeros_like(t)
    at = rng.uniform(0.1, 0.95) * hold
    if bench.effect == "gas lag":
        air = air + rng.choice([-1, 1]) * rng.uniform(0.5, 1.0) * np.clip((t - at) / 1800.0, 0, 1)
    if bench.effect == "sun":
        gained = rng.uniform(0.3, 1.0) * np.clip((t - at) / 300.0, 0, 1) * np.exp(-np.maximum(t - at - 900.0, 0) / 600)
    if bench.effect == "door":
        air = air - rng.uniform(0.5, 2.0) * ((t > at) & (t < at + 300.0)) * np.exp(-np.maximum(t - at, 0) / 300)
    return air, gained


def _gas(rng: np.random.Generator, t: Floats, around: Floats) -> Floats:
    """Return the gas, which follows what is around it with 2 to 12 min."""
    lag = rng.uniform(120.0, 720.0)
    gas = np.empty_like(t)
    gas[0] = now = around[0]
    for i in range(1, t.size):
        now = around[i] + (now - around[i]) * math.exp(-(t[i] - t[i - 1]) / lag)
        gas[i] = now
    return gas


def _weather(rng: np.random.Generator, bench: Bench, t: Floats) -> Floats:
    slope = rng.uniform(-60.0, 60.0) / 3600
    front = rng.uniform(100.0, 300.0) * np.tanh((t - rng.uniform(0.2, 0.9) * bench.gauge.hold_s) / 900.0)
    path: Floats = 101_000.0 + slope * t + (front if bench.effect == "weather front" else 0.0)
    return path


def _pressure(rates: Floats, volume: float, t: Floats, gas: Floats, weather: Floats) -> Floats:
    """Return the absolute pressure inside [Pa]."""
    start = START + weather[0]
    drive = start**2 - weather[0] ** 2
    amount = start * volume * 293.15 / gas[0]
    inside = np.empty_like(t)
    for i in range(t.size):
        inside[i] = max(amount * gas[i] / (volume * 293.15), weather[i])
        if i + 1 < t.size:
            amount -= rates[i] * (inside[i] ** 2 - weather[i] ** 2) / drive * (t[i + 1] - t[i])
    return inside


def _added(rng: np.random.Generator, bench: Bench, t: Floats) -> Floats:
    """Return what creep, recovery, drops and drift add to the gauge [Pa]."""
    hold, step = bench.gauge.hold_s, bench.gauge.step_pa
    added: Floats = np.zeros_like(t)
    match bench.effect:
        case "creep":
            added = -rng.uniform(30.0, 300.0) * np.log1p(t / rng.choice([30.0, 100.0, 300.0])) / 4
        case "recovery":
            added = rng.uniform(50.0, 400.0) * (1 - np.exp(-t / rng.uniform(300.0, 1800.0)))
        case "evaporating drops":
            added = rng.uniform(50.0, 400.0) * np.clip(t / (rng.uniform(0.2, 0.9) * hold), 0, 1)
        case "drift":
            added = rng.choice([-1, 1]) * rng.uniform(0.2, 1.0) * max(step, 50.0) * t / hold
    return added


def _stuck(shown: Floats, half: float) -> Floats:
    """Return a needle that moves only when it is more than half a division behind."""
    now, out = shown[0], np.empty_like(shown)
    for i, value in enumerate(shown):
        now = min(max(now, value - half), value + half)
        out[i] = now
    return out


def simulate(bench: Bench, seed: list[int]) -> Seen:
    """Simulate one hold."""
    rng = np.random.default_rng(seed)
    gauge = bench.gauge
    t = np.arange(0.0, gauge.hold_s + 0.5, 10.0)
    air, gained = _air(rng, bench, t)
    gas = _gas(rng, t, air + gained)
    weather = _weather(rng, bench, t)
    volume = VOLUME * (rng.choice([0.8, 1.2]) if bench.effect == "wrong volume" else 1 + 0.05 * rng.standard_normal())
    rates = LIMIT * np.where(t >= bench.onset * gauge.hold_s, bench.later, bench.leak)
    inside = _pressure(rates, volume, t, gas, weather)
    plain = _pressure(np.full_like(t, LIMIT * bench.leak), volume, t, gas, weather)
    at = np.arange(0, t.size, round(gauge.every_s / 10.0))
    true = (inside - weather + _added(rng, bench, t))[at] * (1 + 0.005 * rng.standard_normal())
    true = true + 0.2 * gauge.step_pa * rng.standard_normal(at.size) + rng.uniform(-0.5, 0.5) * gauge.step_pa
    if bench.effect == "stiction":
        true = _stuck(true, 0.5 * gauge.step_pa)
    shown = np.round(true / gauge.step_pa) * gauge.step_pa
    read = np.round((air[at] + rng.uniform(-0.3, 0.3) + 0.03 * rng.standard_normal(at.size)) / 0.1) * 0.1
    barometer = np.round((weather[at] + 3.0 * rng.standard_normal(at.size)) / 10) * 10
    series = HoldSeries(
        elapsed_s=t[at].tolist(),
        pressure_pa=shown.tolist(),
        air_k=read.tolist() if bench.thermometer else [math.nan] * at.size,
        barometer_pa=barometer.tolist(),
    )
    return Seen(series=series, extra_pa=float(plain[-1] - inside[-1]))
