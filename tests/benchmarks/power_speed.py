"""Time of a layout, of a sweep's verdict, and of one reading of the board.

Run by hand from the top folder: ``python tests/benchmarks/power_speed.py``. Prints the median CPU time of each, after
the imports. Layout: 8 chains on 8 headers with cables of their own. Sweep: the 60 readings of a sample file. Board: 40
channels as real files in a temporary folder, which stand in a cache, as the kernel's values mostly do not: on a real
board the bus adds its own time.
"""

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from commission.bootstrap import hwmon_board
from commission.record.machine.seats import Drive, Reach
from commission.stages.fan_headers.files.sweep_csv import read_sweep
from commission.stages.fan_headers.judge.layout import best_layout
from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers
from commission.stages.fan_headers.model.layout import LayoutChain, LayoutHeader, LayoutProblem
from tests.instruments.hwmon_tree import add_chip
from tests.make_sample_logs import FOLDER

RUNS = 15
LAYOUT_MS, SWEEP_MS, BOARD_MS = 200.0, 5.0, 5.0


def median_ms(call: Callable[[], object]) -> float:
    """Return the median CPU time of some runs, after one that is not counted [ms]."""
    call()
    spent = []
    for _ in range(RUNS):
        start = time.process_time()
        call()
        spent.append((time.process_time() - start) * 1000)
    return statistics.median(spent)


def eight_by_eight() -> LayoutProblem:
    """Return 8 chains that each reach 8 headers, by cables of different lengths."""
    names = [f"H{n}" for n in range(8)]
    chains = tuple(
        LayoutChain(
            name=f"C{i}", drive=Drive.PWM, steady_ma=100 + 20 * i, start_ma=300,
            reach=tuple(Reach(header=name, cable_cm=(7 * i + 13 * j) % 41) for j, name in enumerate(names)),
        )
        for i in range(8)
    )  # fmt: skip
    headers = tuple(LayoutHeader(name=name, rating_ma=1000, modes=(Drive.PWM,)) for name in names)
    return LayoutProblem(headers=headers, chains=chains, share_penalty=50)


def main() -> None:
    """Print the three times beside what they should stay under."""
    problem = eight_by_eight()
    sweep = read_sweep(FOLDER / "sweeps" / "front-controlled.csv")
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        fans = {f"fan{n}_input": 900 + n for n in range(1, 21)}
        add_chip(root, 0, "bench", fans | {f"temp{n}_input": 30_000 + n for n in range(1, 21)})
        board = hwmon_board(root)
        (chip,) = board.read().chips
        channels = len(chip.fans) + len(chip.temperatures)
        rows = (
            ("layout, 8 chains on 8 headers", LAYOUT_MS, median_ms(lambda: best_layout(problem))),
            ("verdict on a sweep", SWEEP_MS, median_ms(lambda: evaluate_fan_headers(sweep.sweep, sweep.setup))),
            (f"board, {channels} channels", BOARD_MS, median_ms(board.read)),
        )
    for what, most, took in rows:
        print(f"{what}: {took:.2f} ms of CPU, aim {most:g} ms{'' if took <= most else ': TOO SLOW'}")


if __name__ == "__main__":
    main()
