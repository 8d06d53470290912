"""Makes the hold files in sample_logs/ by simulating a bench, second by second.

Run ``python tests/make_sample_logs.py`` from the top folder to write them again; a test compares them with what this
script makes. Nothing of the program is used here: the physics below is written out on its own, so that the files can
contradict the judge.

The physics, for a rigid loop of volume V filled with dry air (ideal gas):

* Amount of gas, as pressure times volume at 20 °C: ``N = P·V·293.15/T`` with P absolute.
* Viscous leak: ``dN/dt = -Q·(P² - pb²)/(P0² - pb0²)``, where Q is the leak rate at the pressure of the start.
* The gas follows the air around the loop with one time constant: ``dT/dt = (room - T)/lag``.
* Soft tube creeps: the volume grows by ``creep·(1 - exp(-t/tau))``.
* A display shows the nearest whole step of (true value + a little noise).
"""

import math
import random
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

from commission.base.frozen import Frozen

ZERO_C = 273.15
REFERENCE_K = 293.15
HOUR = 3600.0
FOLDER = Path(__file__).resolve().parent.parent / "sample_logs"


class Bench(Frozen):
    """One invented hold, and the verdict that its truth calls for."""

    file: str
    """Name of the file, without its ending."""
    story: str
    """What happens, in one line."""
    verdict: str
    """What an honest judge must say."""
    why: str
    """Why, argued from the truth below and not from the program."""
    seed: int
    """Of the noise."""
    leak_mbar_l_s: float
    """True leak rate at the pressure of the start, at 20 °C."""
    late_leak_mbar_l_s: float | None = None
    """True leak rate from the onset on; None where it never changes."""
    onset_s: float = math.inf
    """When the leak changes."""
    limit_mbar_l_s: float = 1e-2
    """The limit that it is judged by."""
    hold_s: float
    """Length of the log."""
    every_s: float
    """From one reading to the next."""
    start_mbar: float = 500.0
    """Gauge pressure that would show at the start if all had settled."""
    volume_l: float = 1.2
    """True volume."""
    stated_volume: str = "1.2 L +- 5 %"
    """What the builder says of it."""
    room_c: Callable[[float], float] = lambda t: 21.0 + 0.1 * math.sin(t / 900)
    """Air around the loop [°C] over time [s]."""
    barometer_hpa: Callable[[float], float] = lambda t: 1008.3 - 0.2 * t / HOUR
    """Barometer [hPa] over time [s]."""
    lag_s: float = 300.0
    """How slowly the gas follows the air."""
    warm_k: float = 0.0
    """How much warmer than the air the gas is when the log begins."""
    creep: float = 0.0
    """Share by which the volume still grows."""
    creep_tau_s: float = 600.0
    """Time constant of that growth."""
    gauge_step_mbar: float = 0.1
    """One step of the gauge's display."""
    gauge_noise_mbar: float = 0.05
    """Scatter of the gauge before the display rounds it."""
    source_open: bool = False
    """Whether a regulator still holds the gauge pressure."""
    clock: str = "elapsed [min]"
    """Heading of the first column."""
    pressure: str = "gauge [mbar]"
    """Heading of the second."""
    with_barometer: bool = True
    """Whether there is a barometer's column."""


BENCHES = (
    Bench(
        file="tight-loop",
        story="First hold of the loop, typed every two minutes; the gas is still warm from pumping at the start.",
        verdict="pass",
        why="the true leak is 8 % of the limit, and 50 min let the display show a leak of a tenth of the limit",
        seed=11,
        leak_mbar_l_s=8e-4,
        hold_s=3000,
        every_s=120,
        warm_k=2.0,
        lag_s=150,
    ),
    Bench(
        file="pinched-seal",
        story="A seal was pinched when the second radiator was fitted; a logger writes every 10 s.",
        verdict="fail",
        why="the true leak is four times the limit: 30 min lose some 50 mbar, where 15 mbar would be allowed",
        seed=12,
        leak_mbar_l_s=4e-2,
        hold_s=1800,
        every_s=10,
        clock="elapsed [s]",
    ),
    Bench(
        file="pinched-seal-cured",
        story="The same loop after the seal was replaced, logged with the time of day by an absolute sensor.",
        verdict="pass",
        why="the true leak is 15 % of the limit",
        seed=13,
        leak_mbar_l_s=1.5e-3,
        hold_s=2700,
        every_s=15,
        clock="time",
        pressure="absolute [kPa]",
        gauge_step_mbar=0.1,
        with_barometer=False,
    ),
    Bench(
        file="room-cooled",
        story="Three 360 mm radiators; the heating is off, the room cools by 5 K and the gauge falls by some 26 mbar.",
        verdict="pass",
        why="the true leak is 10 % of this stricter limit; the fall is the room's, as the thermometer shows. "
        "A rule that allows the gauge a fixed fall (18.5 mbar here) would send the builder looking for a leak",
        seed=14,
        leak_mbar_l_s=5e-4,
        limit_mbar_l_s=5e-3,
        hold_s=7200,
        every_s=60,
        volume_l=1.95,
        stated_volume="1.95 L +- 5 %",
        room_c=lambda t: 22.5 - 5.0 * t / 7200,
    ),
    Bench(
        file="overnight-near-limit",
        story="Twelve hours overnight; the gauge falls by two fifths, so the leak slows down while it is watched.",
        verdict="fail",
        why="the true leak at the test pressure is 1.2 times the limit, although the mean fall over the night "
        "is within it: the leak slows as the pressure falls",
        seed=15,
        leak_mbar_l_s=1.2e-2,
        hold_s=12 * HOUR,
        every_s=600,
        volume_l=1.95,
        stated_volume="1.95 L +- 3 %",
        room_c=lambda t: 21.0 - 1.2 * math.sin(math.pi * t / (12 * HOUR)),
        barometer_hpa=lambda t: 1012.0 - 0.35 * t / HOUR,
        clock="elapsed [h]",
    ),
    Bench(
        file="seal-lets-go",
        story="A seal holds for 50 min and then lets go; the mean over the hour still looks good.",
        verdict="fail",
        why="from 50 min on the true leak is five times the limit; the mean over the hour is 0.9 times the limit",
        seed=19,
        leak_mbar_l_s=5e-4,
        late_leak_mbar_l_s=5e-2,
        onset_s=3000,
        hold_s=3600,
        every_s=60,
    ),
    Bench(
        file="seal-lets-go-typed",
        story="The same seal, typed every 10 min on a gauge with steps of 1 mbar: the last reading alone is low.",
        verdict="inconclusive",
        why="one low reading may be the gauge, a hand or a leak: it must be read once more. The mean over the hour is "
        "within the limit, so that a rule that looks at start and end would pass it",
        seed=20,
        leak_mbar_l_s=5e-4,
        late_leak_mbar_l_s=4e-2,
        onset_s=3240,
        hold_s=3600,
        every_s=600,
        gauge_step_mbar=1.0,
    ),
    Bench(
        file="coarse-dial",
        story="A dial gauge that can be read to 20 mbar; the needle seems to stand still for half an hour.",
        verdict="inconclusive",
        why="30 min at the limit lose 15 mbar, less than one step of 20 mbar: a needle that stands still "
        "proves nothing either way, whatever the truth (here a fifth of the limit)",
        seed=16,
        leak_mbar_l_s=2e-3,
        hold_s=1800,
        every_s=300,
        gauge_step_mbar=20.0,
        gauge_noise_mbar=1.0,
    ),
    Bench(
        file="still-settling",
        story="Logged from the last stroke of the pump: warm hardware and a soft tube are still coming to rest.",
        verdict="invalid",
        why="the fall is settling, not a leak (the true leak is 5 % of the limit), and it still goes on at the end",
        seed=17,
        leak_mbar_l_s=5e-4,
        hold_s=1200,
        every_s=20,
        warm_k=5.0,
        lag_s=900,
        creep=0.012,
        creep_tau_s=900,
        clock="elapsed [s]",
    ),
    Bench(
        file="source-left-open",
        story="The valve to the regulator was left open: the gauge looks perfect while the room cools.",
        verdict="invalid",
        why="the gauge stands still although the room cools by 2 K, so gas is coming in; what leaks out "
        "(three times the limit) cannot be seen",
        seed=18,
        leak_mbar_l_s=3e-2,
        hold_s=3600,
        every_s=60,
        room_c=lambda t: 22.0 - 2.0 * t / HOUR,
        barometer_hpa=lambda t: 1008.0 + 0.5 * t / HOUR,
        source_open=True,
    ),
)


class Moment(Frozen):
    """What is true at one moment."""

    elapsed_s: float
    """Time since the log began."""
    absolute_mbar: float
    """True pressure in the loop."""
    room_c: float
    """True temperature of the air around it."""
    barometer_hpa: float
    """True pressure of the air around it."""


def simulate(bench: Bench) -> Iterator[Moment]:
    """Yield the truth at each reading; the sums go in steps of one second."""
    barometer0 = bench.barometer_hpa(0.0)
    start_abs = bench.start_mbar + barometer0
    volume = bench.volume_l
    room0 = bench.room_c(0.0) + ZERO_C
    amount = start_abs * volume * REFERENCE_K / room0  # mbar·L at 20 °C
    gas_k = room0 + bench.warm_k
    drive0 = start_abs**2 - barometer0**2
    for second in range(round(bench.hold_s) + 1):
        room, barometer = bench.room_c(second), bench.barometer_hpa(second)
        swollen = volume * (1 + bench.creep * (1 - math.exp(-second / bench.creep_tau_s)))
        pressure = amount * gas_k / (swollen * REFERENCE_K)
        if bench.source_open:
            pressure = bench.start_mbar + barometer
            amount = pressure * swollen * REFERENCE_K / gas_k
        if second % round(bench.every_s) == 0:
            yield Moment(elapsed_s=second, absolute_mbar=pressure, room_c=room, barometer_hpa=barometer)
        late = bench.late_leak_mbar_l_s if second >= bench.onset_s else None
        amount -= (bench.leak_mbar_l_s if late is None else late) * (pressure**2 - barometer**2) / drive0
        gas_k += (room + ZERO_C - gas_k) / bench.lag_s


class Row(Frozen):
    """What the clock and the displays show at one moment."""

    elapsed_s: float
    """Time since the log began."""
    clock: str
    """First cell."""
    pressure: str
    """What the gauge shows."""
    air: str
    """What the thermometer shows."""
    barometer: str
    """What the barometer shows; empty where there is none."""


def rows(bench: Bench) -> Iterator[Row]:
    """Yield what is read, row by row."""
    rng = random.Random(bench.seed)
    absolute = bench.pressure.startswith("absolute")
    step = bench.gauge_step_mbar
    for moment in simulate(bench):
        true = moment.absolute_mbar - (0.0 if absolute else moment.barometer_hpa)
        shown = _shown(true + bench.gauge_noise_mbar * _normal(rng), step)
        yield Row(
            elapsed_s=moment.elapsed_s,
            clock=_clock(bench.clock, moment.elapsed_s),
            pressure=_text(shown / 10, step / 10) if absolute else _text(shown, step),
            air=_text(_shown(moment.room_c + 0.02 * _normal(rng), 0.1), 0.1),
            barometer=_text(_shown(moment.barometer_hpa + 0.02 * _normal(rng), 0.1), 0.1)
            if bench.with_barometer
            else "",
        )


def lines(bench: Bench) -> list[str]:
    """Return the lines of a hold's file."""
    head = [
        f"# {bench.story}",
        f"# outcome: {bench.verdict}",
        f"# why: {bench.why}",
        f"# truth: {bench.leak_mbar_l_s:g} mbar·L/s at the start and 20 °C; {_late(bench)}"
        f"the limit is {bench.limit_mbar_l_s:g} mbar·L/s",
        f"# made by: a simulation with invented figures, seed {bench.seed}",
        f"# volume: {bench.stated_volume}",
        f"# limit: {bench.limit_mbar_l_s:g} mbar·L/s",
        f"# gauge step: {bench.gauge_step_mbar:g} mbar",
        *([] if bench.source_open else ["# source: hose off"]),
        "# air step: 0.1 K",
    ]
    columns = [bench.clock, bench.pressure, "air [degC]"]
    if bench.with_barometer:
        head.append("# barometer step: 0.1 hPa")
        columns.append("barometer [hPa]")
    table = []
    for row in rows(bench):
        cells = (row.clock, row.pressure, row.air, row.barometer)
        table.append(",".join(cells[: len(columns)]))
    return [*head, ",".join(columns), *table]


def _late(bench: Bench) -> str:
    if bench.late_leak_mbar_l_s is None:
        return ""
    return f"{bench.late_leak_mbar_l_s:g} mbar·L/s from {bench.onset_s / 60:g} min on; "


def _normal(rng: random.Random) -> float:
    """Return a normal number by the method of Box and Muller; ``random()`` is the same in every Python."""
    return math.sqrt(-2 * math.log(1 - rng.random())) * math.cos(2 * math.pi * rng.random())


def _shown(value: float, step: float) -> float:
    return round(value / step) * step


def _text(value: float, step: float) -> str:
    return f"{value:.{max(0, -math.floor(math.log10(step) + 1e-9))}f}"


def _clock(heading: str, elapsed_s: float) -> str:
    match heading:
        case "elapsed [s]":
            return f"{elapsed_s:.0f}"
        case "elapsed [min]":
            return f"{elapsed_s / 60:g}"
        case "elapsed [h]":
            return f"{elapsed_s / 3600:.4f}"
        case _:
            start = datetime(2026, 3, 14, 9, 30, tzinfo=timezone(timedelta(hours=1)))
            return (start + timedelta(seconds=elapsed_s)).isoformat()


def main() -> None:
    """Write all files."""
    for bench in BENCHES:
        path = FOLDER / f"{bench.file}.csv"
        path.write_text("\n".join(lines(bench)) + "\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
