"""Every sample sweep, supply and layout gives what its simulated truth calls for.

Outside: the verdicts are argued from the simulated truth in ``tests/make_sweep_logs.py``, which uses nothing of the
program.
"""

import pytest

from commission.base.verdict import Outcome
from commission.stages.fan_headers.files.layout_toml import read_layout
from commission.stages.fan_headers.files.sweep_csv import read_sweep
from commission.stages.fan_headers.judge.layout import best_layout
from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers
from commission.stages.fan_headers.judge.sweep_advice import mode_test
from commission.stages.fan_headers.model.sweep import SweepWord
from commission.stages.first_power.files.rails_csv import read_rails
from commission.stages.first_power.judge.rails import evaluate_rails
from commission.stages.first_power.model.rails import Revision
from tests.make_sweep_logs import BENCHES, FOLDER, RAILS, Bench, lines, rail_lines


def test_the_files_are_those_of_the_simulation() -> None:
    assert {path.stem for path in (FOLDER / "sweeps").glob("*.csv")} == {bench.file for bench in BENCHES}
    for bench in BENCHES:
        path = FOLDER / "sweeps" / f"{bench.file}.csv"
        assert path.read_text(encoding="utf-8").splitlines() == lines(bench)
    assert {path.stem for path in (FOLDER / "rails").glob("*.csv")} == set(RAILS)
    for file in RAILS:
        assert (FOLDER / "rails" / f"{file}.csv").read_text(encoding="utf-8").splitlines() == rail_lines(file)


def test_every_word_and_every_outcome_is_among_them() -> None:
    assert {bench.verdict.partition(",")[0] for bench in BENCHES} == set(SweepWord)
    assert {bench.outcome for bench in BENCHES} == set(Outcome)


@pytest.mark.parametrize("bench", BENCHES, ids=lambda bench: str(bench.file))
def test_a_sweep_gets_the_word_that_its_truth_calls_for(bench: Bench) -> None:
    file = read_sweep(FOLDER / "sweeps" / f"{bench.file}.csv")
    verdict = evaluate_fan_headers(file.sweep, file.setup)
    assert (verdict.said, verdict.outcome) == (bench.verdict, bench.outcome)
    assert (file.word, file.outcome) == (bench.verdict, bench.outcome)
    assert verdict.reasons


def test_a_starved_chain_is_cured_by_the_other_mode() -> None:
    files = [read_sweep(FOLDER / "sweeps" / f"top-{state}.csv") for state in ("starved", "cured")]
    starved, cured = (evaluate_fan_headers(file.sweep, file.setup) for file in files)
    assert [cause.code for cause in starved.causes] == ["four_wires_on_voltage"]
    assert (starved.stops.stop_pct, starved.stops.runs_pct, starved.stops.start_pct) == (40, 50, 60)
    assert cured.causes == ()
    assert cured.stops.stop_pct is None
    assert mode_test(starved, cured).code == "second_mode_runs_through"


def test_a_sagging_plug_fails_one_guide_and_keeps_to_the_other() -> None:
    for name, (_, revision, verdict, _) in RAILS.items():
        file = read_rails(FOLDER / "rails" / f"{name}.csv")
        assert file.revision == revision
        assert evaluate_rails(file.readings, Revision(revision)).outcome == verdict == file.outcome
    sagging = read_rails(FOLDER / "rails" / "sagging-plug.csv").readings
    newer = evaluate_rails(sagging, Revision.ATX3)
    assert newer.outcome is Outcome.PASS
    assert {"plug_sags", "wider_window"} == {finding.code for finding in newer.findings}


def test_a_chain_that_overloads_every_header_is_split() -> None:
    # 1200 mA over 80 % of 1000 mA; halves of 600 mA fit; cables 5 + 10 + 25 cm by hand
    over = best_layout(read_layout(FOLDER / "layouts" / "overloaded.toml"))
    assert over.status == "infeasible"
    assert over.relaxations[0].rating_ma == 1500
    split = best_layout(read_layout(FOLDER / "layouts" / "split.toml"))
    assert split.best is not None
    assert (split.status, split.best.cost) == ("optimal", 40)
