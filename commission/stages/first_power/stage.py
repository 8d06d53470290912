"""The first power-on, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import ByName, Command, Face, Span
from commission.procedure.stage_ids import FIRST_POWER

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook

_AT = "commission.stages.first_power"
_SHELL = f"{_AT}.shell"

_DECIDES = (
    "It passes if all four steps passed, each by its own limits and in order. It fails if one failed. It is invalid "
    "if a cable was measured while it was plugged in. Else it is inconclusive."
)


def _record() -> RecordFace:
    from commission.stages.first_power.record_face import RECORD

    return RECORD


def _at_once(state: BuildState) -> str:
    from commission.record.machine.rungs import Rungs

    return "leak checks: PUMP runs" if state.of(Rungs).pump_runs else ""


def _takes(book: Logbook, state: BuildState) -> float:
    return book.procedure(state).stage(FIRST_POWER).limit("wet_watch_s")


FACE = Face(
    id=FIRST_POWER,
    record=_record,
    flow=ByName(f"{_AT}.card.first_power:FirstPowerFlow"),
    beside=ByName(f"{_AT}.plot.screen:WatchBeside"),
    rows=ByName(f"{_AT}.rows.show_power:first_power_lines"),
    charts=ByName(f"{_AT}.rows.charts:rail_charts"),
    decides=_DECIDES,
    shows=("first power reason", ""),
    spans=(Span(begun=("pump started",), ended=("wet watch ended",)),),
    running=ByName(f"{_AT}.rows.running:running"),
    takes=_takes,
    at_once=_at_once,
    under_way="the next step",
    renamed={"power mended": "repaired"},
    commands={
        "judge rails": Command(
            f"{_SHELL}.judge_rails:judge_rails", "Judge the voltages of a power supply, read at its plugs."
        ),
        "power": Command(f"{_SHELL}.power:power", "Record the first power-on, step by step."),
        "power supply": Command(f"{_SHELL}.power:supply", "Describe the supply and its hand-made cables."),
        "power meter": Command(f"{_SHELL}.power:meter", "Say which multimeter is used."),
        "power cable": Command(f"{_SHELL}.power:cable", "Record what the meter showed on a cable."),
        "power rails": Command(f"{_SHELL}.power:rails", "Record the voltages of the supply alone."),
        "power abort": Command(f"{_SHELL}.power:abort", "Abort the test of a cable, or the voltages, as a whole."),
        "power pump": Command(f"{_SHELL}.power_wet:pump", "Record that the pump alone was started."),
        "power look": Command(f"{_SHELL}.power_wet:look", "Record what dry paper showed at joints."),
        "power off": Command(f"{_SHELL}.power_wet:off", "Record that the pump is off; judge the leak watch."),
        "power machine": Command(f"{_SHELL}.power_wet:machine", "Record the first start of the whole machine."),
        "power repaired": Command(f"{_SHELL}.power_wet:repaired", "Record what was done about what failed."),
        "power end": Command(f"{_SHELL}.power_wet:end", "End the first power-on and judge it."),
    },
)
"""What the rest of the house sees of it."""
