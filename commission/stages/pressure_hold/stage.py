"""The pressure hold, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.logbook import Logbook

_SHELL = "commission.stages.pressure_hold.shell"


def _record() -> RecordFace:
    from commission.stages.pressure_hold.record_face import RECORD

    return RECORD


def _screen(book: Logbook, build_id: str) -> object:
    from commission.stages.pressure_hold.plot.screen import PressureHoldScreen

    return PressureHoldScreen(book, build_id)


FACE = Face(
    id="pressure_hold",
    record=_record,
    screen=_screen,
    commands={
        "judge hold": Command(
            f"{_SHELL}.judge:judge_hold",
            "Judge pressure holds: whether the loop leaks less than the limit.",
        ),
        "feed": Command(f"{_SHELL}.feed:feed", "Store readings from a pipe in a running hold."),
        "close": Command(f"{_SHELL}.close:close", "End a running hold and judge it."),
        "let-down": Command(f"{_SHELL}.let_down:let_down", "Record that the pressure is let down."),
    },
)
"""What the rest of the house sees of it."""
