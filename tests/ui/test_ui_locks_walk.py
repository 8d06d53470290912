"""Random walks over the lines of every flow: nothing that is typed gets power on before its rung.

Outside: the order of the rungs, as a model of its own in ``tests/lock_model.py``. Status: argued.
"""

import random
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from functools import cache

import pytest

from commission.base.errors import CommissionError
from commission.bench.ask import Flow
from commission.record import ladder
from commission.record import logbook as book_module
from commission.record.logbook import Logbook
from commission.stages.bleed.card.bleed import BleedFlow
from commission.stages.build_sheet.work import Sheet
from commission.stages.fan_headers.card import headers
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.entries import SweepTaken
from commission.stages.fan_headers.typed.chain import FED_PUMP_EXAMPLE
from commission.stages.fill.card.fill import FillFlow
from commission.stages.first_power.card.first_power import FirstPowerFlow
from commission.stages.first_power.entries import MachineStarted, PumpStarted
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import new_book
from tests.holds import RADIATOR, gauge_reads, start_hold, type_hold
from tests.lock_model import ON_THE_MACHINE, violation
from tests.stages.fan_headers.screen.headers_bench import DOWN_AND_UP, PLUGGED
from tests.stages.first_power.screen.power_bench import CABLE, PLUG

FLOWS: dict[str, Callable[[Logbook, str], Flow]] = {
    "fill": FillFlow, "bleed": BleedFlow, "power": FirstPowerFlow, "headers": HeadersFlow,
}  # fmt: skip
ALL = "read all"
"""Stands for Enter, as long as a caution is asked."""
SCRIPTS = {
    "fill": ("own", ALL, "water", "5 L", "name can", "", "", "1.1 L", "", ALL, "", "dry", "", "", "end", "end"),
    "bleed": (ALL, "covered", "30 min 4 mL none quiet", "30 min 1 mL none quiet", "end", "end"),
    "power": (
        ALL, "Larkspur 850 ATX2", "none", PLUG, "done", ALL, "block in, radiator", "", "", "all dry", "all dry",
        "all dry", "off", "steady quiet", ALL, "speed 2 s 4700 rpm", "right 41 degC", "",
    ),
    "headers": (
        *PLUGGED, "plug front SYS1", ALL, "", "sweep front", ALL, "", *DOWN_AND_UP, "", "leave front 45 640", "end",
        "", "end",
    ),
}  # fmt: skip
"""A good way through each flow; Enter is an empty line."""
ASIDE = (
    "override I know better", "override", "go", "yes", "end", "done", "covered", "again", "undo", "mistyped",
    "describe",
    "cables", "supply", "pump", "machine", "supply own", "supply bridged", "bridged", "own", "drain 200 mL",
    "spill 50 mL", "repaired it was nothing", "drop 24-pin # gone", "drop 24-pin", "GPU 1 +12 11.0", "CPU",
    "24-pin, CPU",
    *CABLE, "0.3 0.3 0.3 0.3", "all OL", "again", "cable CPU", "unplug front", "set SYS1 voltage", "remove SYS1 # gone",
    "leave front 20 300 override it is quiet", "leave front 45 640", "sweep front", "end", "layout", "take",
    "1500", "100 1500", "steady quiet", "all dry", "block in wet", "off", "no", "speed 2 s 4700 rpm", "skip", "",
    "found front on CPU", "found pump on SYS1",
)  # fmt: skip
"""What else is typed at any time, in any flow, some of it to go round a lock."""


class Typist:
    """Types lines into the flows of one build, and notes what jumped a rung."""

    def __init__(self) -> None:
        self.book, self.log, self.clock = new_book()
        self.book.name_operator("Kim")
        self.build = self.book.open_build("Blue Heron")
        self.flows: dict[str, Flow] = {}
        self.jumped: list[str] = []
        self.typed: list[str] = []

    def hold(self) -> None:
        """Pass a hold, without its lines: none of them starts anything."""
        with suppress(CommissionError):
            self.book.work(Sheet).add_part(self.build, RADIATOR)
            start_hold(self.book, self.build)
            type_hold(self.book, self.clock, self.build, start_mbar=500, fall_mbar=0.1)
            self.book.work(Holds).close(self.build, Ending.PLANNED)
            self.book.work(Holds).let_down(self.build, gauge_reads(0.0))

    def type(self, name: str, line: str) -> None:
        """Type a line into a flow; a refusal is one line and nothing is stored."""
        flow = self.flows.setdefault(name, FLOWS[name](self.book, self.build))
        self.clock.run(601)
        before = len(self.log.entries(self.build))
        with suppress(CommissionError):
            flow.refresh()
            if line == ALL:
                self._read_all(flow)
            else:
                self._enter(flow, line)
        self.typed.append(f"{name}: {line or 'Enter'}")
        self._look(before)

    def _read_all(self, flow: Flow) -> None:
        for _ in range(40):
            prompt = flow.now()
            if prompt is None or not prompt.key.startswith("caution"):
                return
            flow.answer(prompt.proposal or prompt.placeholder)

    def _enter(self, flow: Flow, line: str) -> None:
        prompt = flow.now()
        text = line or (prompt.proposal if prompt else None)
        if text is not None:
            flow.answer(text)

    def _look(self, before: int) -> None:
        entries = self.log.entries(self.build)
        for at in range(before, len(entries)):
            found = violation(entries[:at], entries[at].payload)
            if found:
                self.jumped.append(f"after {'; '.join(self.typed)}: {found}")


@cache
def walk(seed: int) -> tuple[list[str], Counter[str]]:
    """Type once through all flows; return what jumped a rung, and how often each kind of entry was reached."""
    rng = random.Random(seed)
    typist = Typist()
    left_out, strange = rng.choice((0.0, 0.0, 0.02, 0.1)), rng.choice((0.0, 0.05, 0.15, 0.4))
    if rng.random() < 0.85:
        typist.hold()
    if rng.random() >= left_out:
        typist.type("headers", FED_PUMP_EXAMPLE)
    for name, lines in SCRIPTS.items():
        if rng.random() < left_out:
            continue
        for line in lines:
            while rng.random() < strange:
                other = rng.choice(list(FLOWS)) if rng.random() < 0.3 else name
                typist.type(other, rng.choice(ASIDE if rng.random() < 0.8 else SCRIPTS[other]))
            if rng.random() >= left_out:
                typist.type(name, line)
    return typist.jumped, Counter(entry.payload.KIND for entry in typist.log.entries(typist.build))


@pytest.mark.parametrize("seed", range(24))
def test_no_line_gets_power_on_before_its_rung(seed: int) -> None:
    jumped, _ = walk(seed)
    assert jumped == []


def test_the_lines_get_to_the_pump_the_machine_and_the_sweeps() -> None:
    """Without this the test above could be kept by lines that get nowhere."""
    reached: Counter[str] = Counter()
    for seed in range(15):
        reached += walk(seed)[1]
    for kind in (PumpStarted, MachineStarted, SweepTaken):
        assert reached[kind.KIND] >= 3, kind.KIND


def test_the_lines_find_a_lock_that_is_taken_away(monkeypatch: pytest.MonkeyPatch) -> None:
    """The hole that there was: override and a reason on the fan headers, and Enter began the sweep."""
    monkeypatch.setattr(ladder, "stage_lock", lambda *_: None)
    for module in (book_module, headers):
        monkeypatch.setattr(module, "refuse_override", lambda *_: None)
    typist = Typist()
    for line in ("override I know better", *SCRIPTS["headers"]):
        typist.type("headers", line)
    kinds = {kind.KIND for kind in ON_THE_MACHINE.__args__}
    assert any(kind in line for line in typist.jumped for kind in kinds)
