"""The first power-on, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face, Span
from commission.procedure.stage_ids import FIRST_POWER

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.bench.face import Running
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook

_SHELL = "commission.stages.first_power.shell"


def _record() -> RecordFace:
    from commission.stages.first_power.record_face import RECORD

    return RECORD


def _screen(book: Logbook, build_id: str) -> object:
    from commission.stages.first_power.plot.screen import FirstPowerScreen

    return FirstPowerScreen(book, build_id)


def _rows(book: Logbook, state: BuildState) -> Iterable[str]:
    from commission.stages.first_power.rows.show_power import first_power_lines

    return first_power_lines(book, state)


def _running(book: Logbook, state: BuildState) -> Iterable[Running]:
    from commission.stages.first_power.rows.running import running

    return running(book, state)


def _at_once(state: BuildState) -> str:
    from commission.record.machine.rungs import Rungs

    return "leak checks: PUMP runs" if state.of(Rungs).pump_runs else ""


FACE = Face(
    id=FIRST_POWER,
    record=_record,
    screen=_screen,
    rows=_rows,
    spans=(Span(begun=("pump started",), ended=("wet watch ended",)),),
    running=_running,
    at_once=_at_once,
    under_way="the next rung",
    commands={
        "judge rails": Command(
            f"{_SHELL}.judge_rails:judge_rails", "Judge the voltages of a power supply, read at its plugs."
        ),
    },
)
"""What the rest of the house sees of it."""
