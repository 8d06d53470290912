"""Makes the sweeps and voltages in sample_logs/ by simulating fans, tachs and a supply.

Run ``python tests/make_sweep_logs.py`` from the top folder to write them again; a test compares them with what this
script makes. Nothing of the program is used here, so that the files can contradict the judge.

The physics, with invented figures:

* PWM drive: speed is the maximum times the duty, never below the fan's floor.
* Voltage drive: speed is the maximum times (12·d − 1)/11, where 1 V is lost inside; below a stop duty it stands still,
  and it starts again only at a higher duty.
* A sound tach scatters by some rpm. Two tachs on one line with narrow pulses show about the sum of both, less where
  pulses coincide, which comes and goes.
* A voltage at a plug is that of the supply less the drop in the cable.
"""

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "sample_logs"
DOWN = (100, 80, 60, 50, 40, 30)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """One invented sweep, and the word that its truth calls for."""

    file: str
    """Name of the file, without its ending."""
    story: str
    """What happens, in one line."""
    verdict: str
    """The word that an honest judge must say."""
    outcome: str
    """And what it is worth."""
    why: str
    """Why, argued from the truth below and not from the program."""
    speed: Callable[[int, bool], float]
    """True speed [rpm] at a duty [%], on the way up or not."""
    settings: dict[str, str] = field(default_factory=dict)
    """What the builder recorded."""
    down: tuple[int, ...] = DOWN
    """Duties on the way down [%]."""
    up: tuple[int, ...] = ()
    """Duties on the way up [%]."""
    samples: int = 5
    """Readings a level."""
    scatter: float = 4.0
    """Standard deviation of one reading [rpm]."""
    lost_from: int | None = None
    """The duty from which the sensor gives nothing [%]."""
    seed: int = 1
    """Of the noise."""


def pwm(top: float, floor: float = 0.0) -> Callable[[int, bool], float]:
    return lambda duty, up: max(top * duty / 100, floor)


def voltage(top: float, stops_at: int, starts_at: int) -> Callable[[int, bool], float]:
    return lambda duty, up: 0.0 if duty <= (starts_at - 1 if up else stops_at) else top * (12 * duty / 100 - 1) / 11


def two_tachs(duty: int, up: bool) -> float:
    """Return the sum of two fans, as narrow pulses show it; the scatter stands for pulses that coincide."""
    return (1500 + 1450) * duty / 100 * 0.9


BENCHES = (
    Bench(
        file="front-controlled",
        story="Three 4-wire fans on a header in PWM mode, read by a program every 2 s.",
        verdict="controlled",
        outcome="pass",
        why="the true speed follows the duty in proportion",
        speed=pwm(1500, 300),
        settings={"nameplate": "1500 rpm", "wires": "4", "mode": "pwm", "fans": "3"},
        up=DOWN[::-1],
    ),
    Bench(
        file="top-starved",
        story="4-wire fans on a header that is set to voltage: they stop at 40 % and start again at 60 %.",
        verdict="controlled, stalls below 50 %",
        outcome="pass",
        why="the true speed follows the voltage down to a stop between 40 and 50 %",
        speed=voltage(1500, stops_at=42, starts_at=60),
        settings={"nameplate": "1500 rpm", "wires": "4", "mode": "voltage", "fans": "3"},
        up=DOWN[::-1],
        seed=2,
    ),
    Bench(
        file="top-cured",
        story="The same fans after the header was set to PWM.",
        verdict="controlled",
        outcome="pass",
        why="the true speed follows the duty down to the lowest level",
        speed=pwm(1500, 350),
        settings={"nameplate": "1500 rpm", "wires": "4", "mode": "pwm", "fans": "3"},
        up=DOWN[::-1],
        seed=3,
    ),
    Bench(
        file="rear-ignores",
        story="A 3-wire fan on a header in PWM mode, whose second pin is always at 12 V.",
        verdict="ignores control",
        outcome="fail",
        why="the true speed is the same at every duty",
        speed=lambda duty, up: 1180.0,
        settings={"nameplate": "1200 rpm", "wires": "3", "mode": "pwm"},
        seed=4,
    ),
    Bench(
        file="floor-weak",
        story="A fan whose floor reaches to 60 %: four of six levels are one plateau.",
        verdict="weak control",
        outcome="inconclusive",
        why="only two levels lie above the plateau: chance orders them so once in thirty",
        speed=pwm(1500, 900),
        settings={"wires": "4", "mode": "pwm"},
        seed=5,
    ),
    Bench(
        file="radiator-inverted",
        story="An adapter inverts the control signal.",
        verdict="inverted",
        outcome="fail",
        why="the true speed falls while the duty rises",
        speed=lambda duty, up: 15.0 * (130 - duty),
        settings={"wires": "4", "mode": "pwm"},
        seed=6,
    ),
    Bench(
        file="splitter-two-tachs",
        story="A splitter that carries pin 3 on both branches: two tachs on one line.",
        verdict="erratic tach",
        outcome="invalid",
        why="the speed shown is the sum of two, 1.8 times the nameplate, and scatters as pulses coincide",
        speed=two_tachs,
        settings={"nameplate": "1500 rpm", "wires": "4", "mode": "pwm", "fans": "2"},
        scatter=300.0,
        seed=7,
    ),
    Bench(
        file="bottom-no-tach",
        story="A 2-wire fan: it turns, and nothing reports it.",
        verdict="no tach",
        outcome="invalid",
        why="it was seen to turn, and no reading shows it",
        speed=lambda duty, up: 0.0,
        settings={"turning": "yes"},
        scatter=0.0,
        samples=2,
    ),
    Bench(
        file="bottom-not-turning",
        story="A fan whose blades are held by a cable.",
        verdict="not turning",
        outcome="fail",
        why="nothing turns and nothing is shown",
        speed=lambda duty, up: 0.0,
        settings={"turning": "no", "wires": "4", "mode": "pwm"},
        scatter=0.0,
        samples=2,
    ),
    Bench(
        file="bottom-not-asked",
        story="Nothing is shown at any duty, and nobody looked at the blades.",
        verdict="no reading",
        outcome="inconclusive",
        why="stopped and no tach look alike from here",
        speed=lambda duty, up: 0.0,
        scatter=0.0,
        samples=2,
    ),
    Bench(
        file="driver-unloaded",
        story="The driver of the chip was unloaded in the middle of the sweep.",
        verdict="sensor error",
        outcome="invalid",
        why="from 50 % on there is no reading at all",
        speed=pwm(1500),
        settings={"wires": "4", "mode": "pwm"},
        down=(100, 80, 60, 50),
        lost_from=50,
        seed=8,
    ),
    Bench(
        file="four-levels",
        story="A sweep in a hurry: four levels only.",
        verdict="insufficient",
        outcome="inconclusive",
        why="four levels fall into order by chance once in 24",
        speed=pwm(1500),
        settings={"wires": "4", "mode": "pwm"},
        down=(100, 80, 60, 40),
        seed=9,
    ),
    Bench(
        file="typed-once",
        story="Typed off the firmware's screen, once a level: the speed changes a little.",
        verdict="insufficient",
        outcome="inconclusive",
        why="the true change is 15 %, and a single reading a level does not tell its scatter",
        speed=lambda duty, up: 1500 * (0.85 + 0.15 * (duty - 30) / 70),
        samples=1,
        seed=10,
    ),
    Bench(
        file="typed-both-ways",
        story="Typed off the firmware's screen, once a level each way; a 3-wire fan under voltage.",
        verdict="controlled, stalls below 40 %",
        outcome="pass",
        why="the true speed follows the voltage; it stops between 30 and 40 % and starts at 50 %",
        speed=voltage(1400, stops_at=33, starts_at=50),
        settings={"nameplate": "1400 rpm", "wires": "3", "mode": "voltage"},
        up=DOWN[::-1],
        samples=1,
        seed=11,
    ),
    Bench(
        file="pump-from-supply",
        story="A pump that the supply feeds, with its tach lead on a header: flat on purpose.",
        verdict="ignores control",
        outcome="pass",
        why="the header carries nothing that could change its speed, and that is right for a pump",
        speed=lambda duty, up: 2400.0,
        settings={"nameplate": "4800 rpm", "pump": "yes", "feed": "supply", "wires": "2"},
        seed=12,
    ),
    Bench(
        file="restless-firmware",
        story="The firmware's own curve moves the speed up and down during the sweep.",
        verdict="inconclusive",
        outcome="inconclusive",
        why="the true speed changes by 20 % with time and not with the duty",
        speed=lambda duty, up: {100: 1400.0, 80: 1250.0, 60: 1480.0, 50: 1210.0, 40: 1450.0, 30: 1300.0}[duty],
        settings={"wires": "4", "mode": "pwm"},
        seed=13,
    ),
)


def lines(bench: Bench) -> list[str]:
    """Return the lines of a sweep's file."""
    head = [bench.story, f"outcome: {bench.outcome}", f"word: {bench.verdict}", f"why: {bench.why}"]
    head.append(f"made by: a simulation with invented figures, seed {bench.seed}")
    head += [f"{key}: {value}" for key, value in bench.settings.items()]
    return [*(f"# {text}" for text in head), "duty [%],speed [rpm],direction,sample", *_rows(bench)]


def _rows(bench: Bench) -> Iterator[str]:
    rng = random.Random(bench.seed)
    for duties, way in ((bench.down, "down"), (bench.up, "up")):
        for duty in duties:
            true = bench.speed(duty, way == "up")
            for sample in range(1, bench.samples + 1):
                shown = str(max(0, round(rng.gauss(true, bench.scatter)))) if true else "0"
                lost = bench.lost_from is not None and duty <= bench.lost_from
                yield f"{duty},{'' if lost else shown},{way},{sample}"


SUPPLY = {"+12 V": 12.08, "+5 V": 5.03, "+3.3 V": 3.33, "+5VSB": 5.06, "-12 V": -11.92}
"""Voltages at the supply itself [V]."""
PLUGS = (
    ("main 24-pin", "board", ("+12 V", "+5 V", "+3.3 V", "+5VSB", "-12 V"), 0.02),
    ("processor 8-pin", "processor", ("+12 V",), 0.06),
    ("graphics 1", "graphics", ("+12 V",), 0.08),
    ("graphics 2", "graphics", ("+12 V",), 0.08),
)
"""Plug, kind, rails, and drop in its cable under load [V]."""


def rails(*, bad_crimp_v: float) -> list[str]:
    """Return the voltages of a supply under load, with a bad crimp in the second graphics cable."""
    rows = []
    for plug, kind, carried, drop in PLUGS:
        for rail in carried:
            lost = (drop + (bad_crimp_v if plug == "graphics 2" else 0.0)) * (1 if rail == "+12 V" else 0.5)
            volt = SUPPLY[rail]
            rows.append(f"{plug},{kind},{rail},{volt - lost if volt > 0 else volt + lost:.3f},yes")
    return rows


RAILS = {
    "all-within": ("A sound supply under load.", "ATX2", "pass", 0.0),
    "sagging-plug": (
        "The same with a bad crimp in the second graphics cable: outside ATX 2.x, inside ATX 3.x.", "ATX2", "fail", 0.7,
    ),
}  # fmt: skip


def rail_lines(file: str) -> list[str]:
    """Return the lines of a file of voltages."""
    story, revision, verdict, bad = RAILS[file]
    head = [story, f"revision: {revision}", f"outcome: {verdict}", "made by: a sketch of drops with invented figures"]
    return [*(f"# {text}" for text in head), "plug,connector,rail,voltage [V],load", *rails(bad_crimp_v=bad)]


def main() -> None:
    """Write every file."""
    for bench in BENCHES:
        (FOLDER / "sweeps" / f"{bench.file}.csv").write_text("\n".join(lines(bench)) + "\n", encoding="utf-8")
    for file in RAILS:
        (FOLDER / "rails" / f"{file}.csv").write_text("\n".join(rail_lines(file)) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
