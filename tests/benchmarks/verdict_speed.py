"""Time and memory of one verdict on a day of readings at 1 Hz.

Run by hand from the top folder: ``python tests/benchmarks/verdict_speed.py``. Prints the median of 15 runs, for
columns given as lists, array('d') and numpy arrays, and the peak memory above the imports.
On a busy machine read the CPU time.
"""

import array
import statistics
import sys
import threading
import time
import tracemalloc
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from commission.stages.pressure_hold.judge.verdict import evaluate_pressure_hold
from commission.stages.pressure_hold.model import HoldSeries, HoldSetup

READINGS = 86_400
MOST_MS = 60.0
MOST_MB = 64.0


def day(kind: str) -> HoldSeries:
    """Return a day at 1 Hz with a small leak, a restless room and a falling barometer."""
    rng = np.random.default_rng(5)
    t = np.arange(float(READINGS))
    air = 294.0 + 0.5 * np.sin(t / 9000) + 0.02 * rng.standard_normal(READINGS)
    weather = 101000.0 - t * 0.004
    pressure = (150000.0 - 0.02 * t) * (294.0 + 0.5 * np.sin((t - 300) / 9000)) / 294.0 - weather
    pressure = np.round((pressure + 5 * rng.standard_normal(READINGS)) / 10) * 10
    air[np.arange(READINGS) % 60 != 0] = np.nan
    columns = [t, pressure, np.round(air, 1), np.round(weather / 10) * 10]
    if kind == "list":
        return HoldSeries(**dict(zip(NAMES, (c.tolist() for c in columns), strict=True)))
    if kind == "array":
        return HoldSeries(**dict(zip(NAMES, (array.array("d", c.tolist()) for c in columns), strict=True)))
    return HoldSeries(**dict(zip(NAMES, columns, strict=True)))  # type: ignore[arg-type]


NAMES = ("elapsed_s", "pressure_pa", "air_k", "barometer_pa")
SETUP = HoldSetup(
    volume_m3=1.2e-3,
    u_volume_m3=3e-5,
    limit_pa_m3_s=1e-3,
    gauge_step_pa=10.0,
    air_step_k=0.1,
    barometer_step_pa=10.0,
)


def resident_mb() -> float:
    """Return resident memory [MB]; 0 where the system does not tell in this way."""
    status = Path("/proc/self/statm")
    return int(status.read_text().split()[1]) * 4096 / 1e6 if status.exists() else 0.0


def peak_above(series: HoldSeries) -> float:
    """Return how far resident memory rises during one verdict [MB], sampled every half millisecond."""
    before, peak, done = resident_mb(), [0.0], threading.Event()

    def watch() -> None:
        while not done.is_set():
            peak[0] = max(peak[0], resident_mb())
            time.sleep(0.0005)

    watcher = threading.Thread(target=watch)
    watcher.start()
    evaluate_pressure_hold(series, SETUP)
    done.set()
    watcher.join()
    return peak[0] - before


def main() -> int:
    """Print the figures; return 1 where an aim is missed."""
    few = HoldSeries(
        elapsed_s=[0.0, 3600.0],
        pressure_pa=[50000.0, 49900.0],
        air_k=[294.0, 294.0],
        barometer_pa=[101000.0, 101000.0],
    )
    evaluate_pressure_hold(few, SETUP)
    missed = False
    for kind in ("list", "array", "numpy"):
        series = day(kind)
        resident = peak_above(series)
        taken, used = [], []
        for _ in range(15):
            start, cpu = time.perf_counter(), time.process_time()
            verdict = evaluate_pressure_hold(series, SETUP)
            used.append(1000 * (time.process_time() - cpu))
            taken.append(1000 * (time.perf_counter() - start))
        tracemalloc.start()
        evaluate_pressure_hold(series, SETUP)
        traced = tracemalloc.get_traced_memory()[1] / 1e6
        tracemalloc.stop()
        median, cpu = statistics.median(taken), statistics.median(used)
        print(
            f"{kind:>6}: {READINGS} readings, {verdict.outcome}, median {median:.1f} ms "
            f"({cpu:.1f} of CPU, best {min(taken):.1f}), "
            f"peak {traced:.1f} MB traced, {resident:.1f} MB resident above the start"
        )
        missed |= min(median, cpu) > MOST_MS or max(traced, resident) > MOST_MB
    print(f"aims: {MOST_MS:g} ms, {MOST_MB:g} MB: {'MISSED' if missed else 'met'}")
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
