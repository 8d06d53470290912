"""Time of one verdict on a day's soak at 1 Hz, beside a straight line through the same columns by numpy.

By hand: ``python -m tests.benchmarks.soak_speed``. Prints the ratio of the best processor times of the asking thread,
since threads of numpy wait by spinning; ends with 1 where the aim is missed.
"""

import sys
import time
from collections.abc import Callable

import numpy as np

from commission.stages.thermal_soak.judge.verdict import evaluate_thermal_soak
from commission.stages.thermal_soak.model import Named, SoakPlan, SoakReading
from tests.soaks import AIR_K, RULE

READINGS = 86_400
MOST = 10.0
"""Most times as long as ``numpy.polyfit`` takes on the same eight columns [1]."""


def columns() -> np.ndarray:
    """Return time and seven columns of a soak that settles: air, warm, cool, flow, load, a component, a duty."""
    rng = np.random.default_rng(5)
    t = np.arange(float(READINGS))
    air = AIR_K + 0.5 * np.sin(t / 9000)
    coolant = air + 10 * (1 - np.exp(-t / 600)) + 0.05 * rng.standard_normal(READINGS)
    flow = 5.5e-5 * (1 + 0.01 * rng.standard_normal(READINGS))
    load = 400 + 2 * rng.standard_normal(READINGS)
    duty = np.full(READINGS, 0.5)
    return np.column_stack((t, air, coolant + 0.85, coolant - 0.85, flow, load, coolant + 32, duty))


def readings(rows: np.ndarray) -> list[SoakReading]:
    """Return the same as readings."""
    return [
        SoakReading(
            elapsed_s=t,
            air_k=air,
            warm_k=warm,
            cool_k=cool,
            flow_m3_s=flow,
            load_w=load,
            components=(Named(name="cpu", value=cpu),),
            duties=(Named(name="fans", value=duty),),
        )
        for t, air, warm, cool, flow, load, cpu, duty in rows.tolist()
    ]


def best(do: Callable[[], object], tries: int = 7) -> float:
    """Return the least processor time of this thread in some runs [s]."""
    found = float("inf")
    for _ in range(tries):
        before = time.thread_time()
        do()
        found = min(found, time.thread_time() - before)
    return found


def main() -> int:
    """Print the ratio; return 1 where the aim is missed."""
    rows = columns()
    given = readings(rows)
    verdict = evaluate_thermal_soak(given, SoakPlan(), RULE)
    assert verdict.outcome == "pass", verdict.reasons
    judged = best(lambda: evaluate_thermal_soak(given, SoakPlan(), RULE))
    fitted = best(lambda: np.polyfit(rows[:, 0], rows, 1))
    print(
        f"soak verdict on {READINGS} x 8 / numpy.polyfit: {judged / fitted:.2f} (aim {MOST:g}); "
        f"{1000 * judged:.0f} ms of {1000 * fitted:.0f} ms"
    )
    return int(judged > MOST * fitted)


if __name__ == "__main__":
    sys.exit(main())
