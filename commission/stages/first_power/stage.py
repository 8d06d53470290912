"""The first power-on, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face
from commission.procedure.stage_ids import FIRST_POWER

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.logbook import Logbook

_SHELL = "commission.stages.first_power.shell"


def _record() -> RecordFace:
    from commission.stages.first_power.record_face import RECORD

    return RECORD


def _screen(book: Logbook, build_id: str) -> object:
    from commission.stages.first_power.plot.screen import FirstPowerScreen

    return FirstPowerScreen(book, build_id)


FACE = Face(
    id=FIRST_POWER,
    record=_record,
    screen=_screen,
    commands={
        "judge rails": Command(
            f"{_SHELL}.judge_rails:judge_rails", "Judge the voltages of a power supply, read at its plugs."
        ),
    },
)
"""What the rest of the house sees of it."""
