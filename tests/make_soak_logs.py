"""Makes the soaks in sample_logs/soaks/ by simulating a loop as one heat store.

Run ``python tests/make_soak_logs.py`` from the top folder to write them again; a test compares them with what this
script makes. Nothing of the program is used here, so that the files can contradict the judge.

The physics, with invented figures: ``C dT/dt = Q - (T - Ta)/R``, so coolant above air nears ``R Q`` with the time
constant ``R C``. The coolant is warmer on its way to the radiators and cooler from them by half of ``Q/(m cp)``; water
carries 4.154 kJ in a litre and kelvin at 35 degC (density 994.0 kg/m3, heat capacity 4179 J/(kg K), IAPWS). A component
sits above the coolant by its own resistance. Displays show the nearest tenth.
"""

import math
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "sample_logs" / "soaks"
J_PER_L_K = 4154.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """One invented soak, and the verdict that its truth calls for."""

    file: str
    """Name of the file, without its ending."""
    story: str
    """What happens, in one line."""
    outcome: str
    """What an honest judge must say."""
    why: str
    """Why, argued from the truth below and not from the program."""
    seed: int
    """Of the noise."""
    minutes: int
    """How long it is logged."""
    k_per_w: float = 0.025
    """Coolant above air per watt."""
    load_w: Callable[[float], float] = lambda t: 400.0
    """Load over time [s]."""
    flow_l_h: Callable[[float], float] = lambda t: 200.0
    """Flow over time [s]."""
    creep_k_h: float = 0.0
    """How fast the end itself climbs [K/h]."""
    tau_s: float = 600.0
    """Time constant."""
    cpu_k_per_w: float = 0.08
    """Processor above coolant per watt of load."""


BENCHES = (
    Bench(
        file="settles", story="A sound loop under 400 W for an hour and a half.", outcome="pass",
        why="0.025 K/W times 400 W is 10 K above air; nine time constants leave a thousandth of it", seed=11,
        minutes=90,
    ),
    Bench(
        file="stopped-early", story="The same loop, logged for 25 minutes only.", outcome="pass",
        why="two and a half time constants bend the course enough to bound its end near 10 K, half of the limit",
        seed=12, minutes=25,
    ),
    Bench(
        file="too-short", story="The same loop, logged for eight minutes.", outcome="inconclusive",
        why="less than one time constant: the course alone foretells nothing", seed=13, minutes=8,
    ),
    Bench(
        file="starved", story="A radiator that gets no air.", outcome="fail",
        why="0.07 K/W times 400 W is 28 K above air, and 20 K is the limit", seed=14, minutes=90, k_per_w=0.07,
        tau_s=900.0,
    ),
    Bench(
        file="load-changed", story="The load falls from 400 W to 250 W after an hour; ten minutes follow.",
        outcome="inconclusive", why="what came before does not count, and ten minutes are one time constant", seed=15,
        minutes=70, load_w=lambda t: 400.0 if t < 3600 else 250.0,
    ),
    Bench(
        file="air-bound", story="The flow falls by a third within the hour at one duty.", outcome="fail",
        why="the pump's duty never moved and the flow fell by 33 %, and 10 % is told", seed=16, minutes=60,
        flow_l_h=lambda t: 200.0 * (1 - 0.33 * t / 3600),
    ),
    Bench(
        file="climbs-on", story="A filter closes up: behind its bend the coolant climbs 4 K an hour.",
        outcome="inconclusive", why="a climb of 4 K an hour never stands still by 1 K an hour, and has no end", seed=17,
        minutes=120, creep_k_h=4.0,
    ),
)  # fmt: skip


def lines(bench: Bench) -> list[str]:
    """Return the lines of a file."""
    head = [bench.story, f"outcome: {bench.outcome}", bench.why, "coolant: water, step 0.1 K"]
    made = "made by: one heat store with invented figures, tests/make_soak_logs.py"
    columns = "elapsed [s],air [degC],warm [degC],cool [degC],flow [L/h],load [W],component cpu [degC],duty pump [%]"
    return [*(f"# {text}" for text in [*head, made]), columns, *_rows(bench)]


def _rows(bench: Bench) -> Iterator[str]:
    rng = random.Random(bench.seed)
    above, every = 0.0, 10
    for second in range(bench.minutes * 60 + 1):
        load = bench.load_w(second)
        if second % every == 0:
            air = 22.0 + 0.1 * math.sin(second / 900)
            flow = bench.flow_l_h(second)
            half = load / (flow / 3600 * J_PER_L_K) / 2
            shown = (air, air + above + half, air + above - half, air + above + bench.cpu_k_per_w * load)
            air_c, warm, cool, cpu = (value + rng.gauss(0, 0.05) for value in shown)
            told_load, told_flow = load + rng.gauss(0, 3), flow * (1 + rng.gauss(0, 0.005))
            yield f"{second},{air_c:.1f},{warm:.1f},{cool:.1f},{told_flow:.0f},{told_load:.0f},{cpu:.1f},100"
        end = bench.k_per_w * load + bench.creep_k_h * second / 3600
        above += (end - above) / bench.tau_s


def main() -> None:
    """Write every file."""
    FOLDER.mkdir(exist_ok=True)
    for bench in BENCHES:
        (FOLDER / f"{bench.file}.csv").write_text("\n".join(lines(bench)) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
