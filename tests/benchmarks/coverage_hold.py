"""How often the bounds of a pressure hold cover the truth, and how often the verdict is wrong: a simulated study.

Run by hand from the top folder: ``python tests/benchmarks/coverage_hold.py --runs 200 --seed 1`` (or ``--quick``).
The bench is simulated in ``bench_world.py``: 1 Hz up to one hour, one reading every 10 s above, or 2 or 8 readings.
"""

import argparse
import itertools
import math
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.judge.verdict import evaluate_pressure_hold
from tests.benchmarks.bench_world import Cell, holds

LEAKS = (0.0, 0.3, 0.7, 1.0, 1.5, 3.0)
HOLDS_S = (1200.0, 3600.0, 4 * 3600.0, 24 * 3600.0)
STEPS_PA = (10.0, 100.0, 1000.0)
SWINGS_K = (0.0, 0.5, 1.0)
READINGS = (0, 8, 2)


@dataclass(slots=True)
class Tally:
    """What came out in one cell."""

    runs: int = 0
    covered: int = 0
    above: int = 0
    bounded: int = 0
    capable: int = 0
    undecided_capable: int = 0
    outcomes: Counter[Outcome] = field(default_factory=Counter)
    why_invalid: Counter[str] = field(default_factory=Counter)
    fixed: Counter[Outcome] = field(default_factory=Counter)

    def __iadd__(self, other: "Tally") -> "Tally":
        """Add another cell."""
        for name in ("runs", "covered", "above", "bounded", "capable", "undecided_capable"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.outcomes += other.outcomes
        self.why_invalid += other.why_invalid
        self.fixed += other.fixed
        return self

    def row(self) -> str:
        """Return the figures as text, percent of the runs."""
        share = [f"{100 * self.outcomes[word] / self.runs:6.1f}" for word in Outcome]
        fixed = f"{100 * self.fixed[Outcome.PASS] / self.runs:6.1f}"
        return (
            f"{100 * self.covered / max(self.bounded, 1):6.1f} {100 * self.above / max(self.bounded, 1):6.1f}  "
            + " ".join(share)
            + f"  {100 * self.capable / self.runs:6.1f} "
            + f"{100 * self.undecided_capable / max(self.capable, 1):6.1f}  {fixed}"
        )


HEAD = (
    "  leak   hold  step swing   n  T |  upper  lower |  pass   fail  incon  inval | capab  undec | fixed pass\n"
    "  /lim    [h] [mbar]  [K]         covers  [%]    |  of the runs [%]           |  [%]   of it  | [%]"
)


def judge(cell: Cell, runs: int, seed: list[int]) -> Tally:
    """Judge the holds of one cell."""
    tally = Tally(runs=runs)
    setup = cell.setup()
    for hold in holds(cell, runs, seed):
        verdict = evaluate_pressure_hold(hold.series, setup)
        tally.outcomes[verdict.outcome] += 1
        if verdict.outcome is Outcome.INVALID:
            tally.why_invalid[verdict.reasons[0].code] += 1
        if verdict.plain_rules:
            tally.fixed[verdict.plain_rules[0].outcome] += 1
        if verdict.leak_rate is not None:
            tally.bounded += 1
            tally.covered += hold.true_rate <= verdict.leak_rate.upper95
            tally.above += hold.true_rate >= verdict.leak_rate.lower95
        if verdict.smallest_detectable is not None and verdict.smallest_detectable <= cell.limit / 2:
            tally.capable += 1
            tally.undecided_capable += verdict.outcome in {Outcome.INCONCLUSIVE, Outcome.INVALID}
    return tally


def cells(*, quick: bool) -> Iterator[Cell]:
    """Yield all cells; a blind or five times stricter bench only in the restless room, where it asks most."""
    for hold_s, step, swing, readings, leak in itertools.product(HOLDS_S, STEPS_PA, SWINGS_K, READINGS, LEAKS):
        if quick and (hold_s not in {1200.0, 4 * 3600.0} or swing == 0.5 or leak == 0.3):
            continue
        cell = Cell(leak=leak, hold_s=hold_s, step_pa=step, swing_k=swing, readings=readings)
        yield cell
        if swing == 1.0:
            yield replace(cell, thermometer=False)
        if swing == 1.0 and step < 1000 and not quick:
            yield replace(cell, limit=cell.limit / 5)


def label(cell: Cell) -> str:
    """Return the condition as text."""
    n = {0: "1Hz" if cell.hold_s <= 3600 else ".1Hz"}.get(cell.readings, str(cell.readings))
    limit = "" if cell.limit == 1e-3 else " lim/5"
    return (
        f"{cell.leak:6.1f} {cell.hold_s / 3600:6.2f} {cell.step_pa / 100:5.1f} {cell.swing_k:5.1f} {n:>4}"
        f" {'y' if cell.thermometer else 'n':>2}{limit:6} |"
    )


def faults(cell: Cell, tally: Tally) -> str:
    """Name the aims that the cell misses; of coverage only what chance explains in fewer than 1 of 100 cells."""
    missed = []
    share = {word: tally.outcomes[word] / tally.runs for word in Outcome}
    if tally.covered < 0.95 * tally.bounded - 2.33 * math.sqrt(0.95 * 0.05 * tally.bounded):
        missed.append("COVERAGE")
    if cell.leak >= 1.5 and share[Outcome.PASS] > 0.01:
        missed.append("FALSE-PASS")
    if cell.leak <= 0.7 and share[Outcome.FAIL] > 0.01:
        missed.append("FALSE-FAIL")
    if share[Outcome.INVALID] > 0.01:
        missed.append("INVALID " + ",".join(f"{k}:{v}" for k, v in tally.why_invalid.items()))
    if (cell.leak <= 0.3 or cell.leak >= 1.5) and tally.undecided_capable > 0.1 * tally.runs:
        missed.append("UNDECIDED")
    return " ".join(missed)


def main() -> None:
    """Print the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--faults", action="store_true", help="print only cells that miss an aim")
    given = parser.parse_args()
    print(HEAD)
    total: dict[float, Tally] = {}
    for number, cell in enumerate(cells(quick=given.quick)):
        tally = judge(cell, given.runs, [given.seed, number])
        total.setdefault(cell.leak, Tally()).__iadd__(tally)
        missed = faults(cell, tally)
        if missed or not given.faults:
            print(label(cell), tally.row(), missed, flush=True)
    print("all cells by leak:")
    for leak, tally in total.items():
        print(f"{leak:6.1f}", " " * 33, tally.row())


if __name__ == "__main__":
    main()
