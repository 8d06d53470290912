"""An invented build from an empty logbook to its owner and a first service visit, as a script would record it.

The figures are a good build's: a gauge that does not fall, coolant short of the parts' 764 mL by less than bleeding may
begin with, cycles that bring nothing, wires of 0.1 ohm beyond the leads, voltages at their nominal, a fan whose speed
follows its duty.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

BUILD = "Desk loop"
MINUTE = 60.0
DAY = 86_400.0
HOLD_MIN = 60
"""Length of the logger's file of the hold [min]: ten minutes settle, the rest is more than the plan asks."""

PARTS = """part,size,volume,rating,wetted,name
radiator 360,,320 mL,1 bar,copper,front radiator
cpu block,,40 mL,1 bar,copper,
pump,,60 mL,1 bar,acetal,
reservoir,,250 mL,1 bar,acrylic,
tube,10 mm x 1.2 m,,1 bar,,
"""
CABLE = """# cable: cpu-4-pin 18 AWG 0.6 m
# map: map.csv
# meter: 0.2
test,from,to,reading
wire,1,2,0.3
wire,2,1,0.3
wire,3,4,0.3
wire,4,3,0.3
pair,3,1,OL
pair,4,1,OL
"""
MAP = "load,supply\n1,2\n2,1\n3,4\n4,3\n"
"""A supply whose socket is turned: no one-to-one map would find it."""
RAILS = """plug,rail,voltage [V],connector
24-pin,+12 V,12.05,board
24-pin,+5 V,5.02,board
24-pin,+3.3 V,3.31,board
24-pin,+5VSB,5.08,board
CPU,+12 V,12.04,processor
"""
SHEET = """# what the board's manual says
header H1 4-pin 1 A pwm
header H2 4-pin 3 A pwm lock
chain front 3 fans 4-wire 0.1 A start 0.15 A 1500 rpm
pump 4-wire 1.2 A start 1.5 A 4800 rpm full
"""
SWEEP = "duty [%],speed [rpm],direction\n" + "".join(
    f"{duty},{15 * duty},{way}\n"
    for way, duties in (("down", (100, 80, 60, 50, 40, 30)), ("up", (40, 50, 60, 80, 100)))
    for duty in duties
)
PUMP_SWEEP = "duty [%],speed [rpm]\n" + "".join(f"{duty},{4700 + duty % 20}\n" for duty in (100, 80, 60, 50, 40, 30))
"""A locked header: whatever the duty, the pump runs at full speed."""
SOAK_MIN = 59
"""Length of the table of the soak [min]; a minute later one more is typed."""
SOAK = "elapsed [s],air [degC],warm [degC],cool [degC],flow [L/h],load [W],component cpu [degC]\n" + "".join(
    f"{60 * minute},22.0,{32.8 - 10 * math.exp(-minute / 10):.1f},{31.1 - 10 * math.exp(-minute / 10):.1f},200,400,"
    f"{64 - 10 * math.exp(-minute / 10):.1f}\n"
    for minute in range(SOAK_MIN)
)
"""Coolant that nears 10 K above air with a time constant of ten minutes; water carries 392 W at 1.7 K and 200 L/h."""
SOAK_LINE = "warm 32.8 cool 31.1 air 22 cpu 64 flow 200 L/h load 400 W"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One command of the script."""

    typed: tuple[str, ...]
    """Its words behind ``commission``."""
    text: str = ""
    """What it reads."""
    after_s: float = 0.0
    """How long after the one before it is typed [s]."""
    status: int = 0
    """The exit status that it must have."""
    judged: str = ""
    """The verdict that it must tell; empty where it judges nothing."""

    @property
    def ends_a_stage(self) -> bool:
        """Whether a stage is judged by it as a whole."""
        return self.judged != "" and (self.typed[0] == "end-hold" or self.typed[1] == "end")


FILES = {
    "parts.csv": PARTS, "cable.csv": CABLE, "map.csv": MAP, "rails.csv": RAILS, "sheet.txt": SHEET, "front.csv": SWEEP,
    "pump.csv": PUMP_SWEEP, "soak.csv": SOAK,
}  # fmt: skip
"""The files that the script names, which are shipped as samples too; ``python -m tests.shell.scripted_build`` writes
them."""


def write_files(folder: Path) -> None:
    """Write the files that the script names."""
    folder.mkdir(exist_ok=True)
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")


def logger_file() -> str:
    """Return the readings of a loop that holds: nothing moves by a step of any display."""
    rows = (f"{minute},500.0,21.0,1013.2\n" for minute in range(0, HOLD_MIN + 1, 2))
    return "elapsed [min],gauge [mbar],air [degC],barometer [hPa]\n" + "".join(rows)


def script(folder: Path, start_ms: int) -> Iterator[Step]:
    """Yield the commands, the first of them at a moment [ms since 1970 UTC]."""
    yield from _before_air(folder)
    yield from _air(start_ms)
    yield from _liquid()
    yield from _power(folder)
    yield from _fans(folder)
    yield from _soak(folder)
    yield from _handover()


def _before_air(folder: Path) -> Iterator[Step]:
    yield Step(typed=("operator", "Ilse Brandt"))
    yield Step(typed=("open", BUILD))
    yield Step(typed=("parts", BUILD, str(folder / "parts.csv")))
    yield Step(typed=("note", BUILD, "fittings turned home once more"))
    yield Step(typed=("part-edit", BUILD, "tube", "--wetted", "pvc"))
    yield Step(typed=("instrument", "digital gauge", "--face", "digital", "--step", "0.1 mbar"))
    yield Step(typed=("instrument", "thermometer"))
    yield Step(typed=("instrument", "barometer"))
    yield Step(typed=("plan", BUILD, "pressure 500 mbar", "limit watertight"))


def _air(start_ms: int) -> Iterator[Step]:
    began = datetime.fromtimestamp(start_ms / 1000, UTC).isoformat()
    yield Step(
        typed=("feed", "--build", BUILD, "--new", "--planned", "--source", "hose off", "--began", began),
        text=logger_file(),
        after_s=(HOLD_MIN + 1) * MINUTE,
    )
    yield Step(typed=("end-hold", BUILD), judged="pass")
    yield Step(typed=("vented", BUILD, "0.0 mbar"))


def _liquid() -> Iterator[Step]:
    yield Step(typed=("pump-supply", BUILD, "own"))
    yield Step(typed=("bottle", "add", "red can", "--base", "water", "--size", "2 L"))
    yield Step(typed=("amount", BUILD, "700 mL", "--bottle", "red can", "--temp", "21 degC"))
    for step in ("protect", "first_fill", "bursts", "look", "to_the_mark"):
        dry = ("--all-dry",) if step == "look" else ()
        yield Step(typed=("fill", "step", BUILD, step, *dry), after_s=MINUTE)
    yield Step(typed=("fill", "end", BUILD), judged="pass")
    yield Step(typed=("bleed", "begin", BUILD, "--inlet-covered"))
    yield Step(typed=("bleed", "cycle", BUILD, "30 min 12 mL upright few quiet"), after_s=31 * MINUTE)
    for _ in range(5):
        yield Step(typed=("bleed", "cycle", BUILD, "30 min 0 mL upright none quiet"), after_s=31 * MINUTE)
    yield Step(typed=("bleed", "end", BUILD), judged="pass")


def _power(folder: Path) -> Iterator[Step]:
    yield Step(typed=("power", "supply", BUILD, "Larkspur 850 ATX2", "--made", "CPU"))
    yield Step(typed=("power", "meter", BUILD, "bench meter"))
    yield Step(typed=("power", "cable", BUILD, "CPU", str(folder / "cable.csv"), "--unplugged"), judged="pass")
    yield Step(typed=("power", "abort", BUILD, "CPU", "the cable of another supply"))
    yield Step(typed=("power", "cable", BUILD, "CPU", str(folder / "cable.csv"), "--unplugged"), judged="pass")
    yield Step(typed=("power", "rails", BUILD, str(folder / "rails.csv"), "--power-good", "180 ms"), judged="pass")
    yield Step(typed=("power", "pump", BUILD, "--alone"))
    for _ in range(3):
        yield Step(typed=("power", "look", BUILD, "all dry"), after_s=11 * MINUTE)
    yield Step(typed=("power", "off", BUILD, "steady quiet"), judged="pass")


def _fans(folder: Path) -> Iterator[Step]:
    yield Step(typed=("fans", "sheet", BUILD, str(folder / "sheet.txt")))
    yield Step(typed=("fans", "plug", BUILD, "front on H1", "pump on H2", "--mains-out"))
    yield Step(typed=("power", "machine", BUILD, "speed 2 s 4700 rpm", "right 41 degC"), after_s=MINUTE, judged="pass")
    yield Step(typed=("power", "end", BUILD), judged="pass")
    for chain in ("front", "pump"):
        yield Step(typed=("fans", "sweep", BUILD, chain, str(folder / f"{chain}.csv")), judged="pass")
    yield Step(typed=("fans", "duty", BUILD, "front 45 675", "pump 100 4700"))
    yield Step(typed=("fans", "end", BUILD), judged="pass")


def _soak(folder: Path) -> Iterator[Step]:
    yield Step(typed=("soak", "begin", BUILD, "--coolant", "water"))
    yield Step(typed=("soak", "feed", BUILD, str(folder / "soak.csv")), after_s=SOAK_MIN * MINUTE)
    yield Step(typed=("soak", "read", BUILD, SOAK_LINE), after_s=MINUTE)
    yield Step(typed=("soak", "joints", BUILD, "--all-dry"))
    yield Step(typed=("soak", "end", BUILD), judged="pass")


def _handover() -> Iterator[Step]:
    spares = ("--spares", "two seals, a fan; bottle red can")
    yield Step(typed=("handover", BUILD, *spares, "--coolant-lasts", "24 months"))
    yield Step(typed=("handover", BUILD, "--to", "Mara Lind"))
    yield Step(typed=("visit", "begin", BUILD, "first look", "--plug-out"), after_s=30 * DAY)
    yield Step(typed=("visit", "top-up", BUILD, "4 mL"))
    yield Step(typed=("visit", "end", BUILD), status=2)  # the look after 30 days is due, and was not logged
    yield Step(typed=("visit", "looked", BUILD, "all dry"))
    yield Step(typed=("visit", "cleaned", BUILD))
    yield Step(typed=("visit", "changed", BUILD, "other side panel: scratched"))
    yield Step(typed=("visit", "end", BUILD))


if __name__ == "__main__":
    write_files(Path(__file__).parents[2] / "sample_logs" / "build")
