"""A slice of the coverage study: small, with a fixed seed, and able to fail. The whole study is a benchmark."""

import numpy as np
import pytest

from commission.base.verdict import Outcome
from commission.stages.pressure_hold.judge.verdict import evaluate_pressure_hold
from tests.benchmarks.bench_world import VOLUME, Cell, holds
from tests.benchmarks.coverage_hold import judge

RUNS = 60
CELLS = [
    Cell(leak=0.0, hold_s=1200.0, step_pa=100.0, swing_k=1.0, readings=0),
    Cell(leak=0.7, hold_s=3600.0, step_pa=10.0, swing_k=1.0, readings=8),
    Cell(leak=0.7, hold_s=14400.0, step_pa=100.0, swing_k=0.5, readings=0),
    Cell(leak=1.5, hold_s=3600.0, step_pa=1000.0, swing_k=1.0, readings=2),
    Cell(leak=1.5, hold_s=14400.0, step_pa=10.0, swing_k=1.0, readings=2, thermometer=False),
    Cell(leak=3.0, hold_s=14400.0, step_pa=100.0, swing_k=1.0, readings=8),
]


@pytest.mark.parametrize("cell", CELLS)
def test_the_upper_bound_covers_and_no_verdict_is_wrong(cell: Cell) -> None:
    tally = judge(cell, RUNS, [20])
    # a bound that covers 95 % misses more than 7 of 60 in 1 of 100 slices
    assert tally.covered >= RUNS - 7
    assert tally.outcomes[Outcome.PASS if cell.leak >= 1.5 else Outcome.FAIL] == 0
    assert tally.outcomes[Outcome.INVALID] <= 1


def test_a_bench_that_detects_half_the_limit_decides() -> None:
    for leak, word in ((0.0, Outcome.PASS), (0.3, Outcome.PASS), (1.5, Outcome.FAIL), (3.0, Outcome.FAIL)):
        tally = judge(Cell(leak=leak, hold_s=14400.0, step_pa=100.0, swing_k=0.5, readings=0), 20, [21])
        assert tally.capable == 20
        assert tally.outcomes[word] >= 19


def test_a_plain_line_on_the_same_readings_does_not_cover() -> None:
    cell = Cell(leak=0.7, hold_s=3600.0, step_pa=100.0, swing_k=1.0, readings=0)
    missed = {"plain": 0, "judge": 0}
    for hold in holds(cell, RUNS, [22]):
        times, gauge = np.asarray(hold.series.elapsed_s), np.asarray(hold.series.pressure_pa)
        compensated = (gauge + np.asarray(hold.series.barometer_pa)) * 293.15 / np.asarray(hold.series.air_k)
        (slope, _), covariance = np.polyfit(times, compensated, 1, cov=True)
        missed["plain"] += (-slope + 1.645 * np.sqrt(covariance[0, 0])) * VOLUME < hold.true_rate
        verdict = evaluate_pressure_hold(hold.series, cell.setup())
        assert verdict.leak_rate is not None
        missed["judge"] += verdict.leak_rate.upper95 < hold.true_rate
    assert missed["plain"] > RUNS // 5
    assert missed["judge"] <= 7
