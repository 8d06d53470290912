"""Every sample soak gets the verdict that its simulated truth calls for.

Outside: the verdicts are argued from the simulated truth in ``tests/make_soak_logs.py``, which uses nothing of the
program.
"""

import pytest

from commission.base.verdict import Outcome
from commission.stages.thermal_soak.files.soak_csv import read_soak
from commission.stages.thermal_soak.judge.verdict import evaluate_thermal_soak
from commission.stages.thermal_soak.typed.plan import read_plan
from tests.make_soak_logs import BENCHES, FOLDER, Bench, lines
from tests.soaks import RULE


def test_the_files_are_those_of_the_simulation() -> None:
    assert {path.stem for path in FOLDER.glob("*.csv")} == {bench.file for bench in BENCHES}
    for bench in BENCHES:
        assert (FOLDER / f"{bench.file}.csv").read_text(encoding="utf-8").splitlines() == lines(bench)


@pytest.mark.parametrize("bench", BENCHES, ids=lambda bench: str(bench.file))
def test_a_soak_gets_the_verdict_that_its_truth_calls_for(bench: Bench) -> None:
    file = read_soak(FOLDER / f"{bench.file}.csv")
    verdict = evaluate_thermal_soak(file.readings, read_plan(file.coolant), RULE)
    assert (verdict.outcome, file.outcome) == (bench.outcome, bench.outcome)
    assert file.outcome in set(Outcome)


@pytest.mark.parametrize("name", ["settles", "stopped-early"])
def test_the_bounds_hold_the_truth(name: str) -> None:
    """0.025 K/W times 400 W is 10 K."""
    file = read_soak(FOLDER / f"{name}.csv")
    verdict = evaluate_thermal_soak(file.readings, read_plan(file.coolant), RULE)
    assert verdict.end is not None
    assert verdict.k_per_w is not None
    assert verdict.end.lower95 < 10.0 < verdict.end.upper95
    assert verdict.k_per_w.lower95 < 0.025 < verdict.k_per_w.upper95
