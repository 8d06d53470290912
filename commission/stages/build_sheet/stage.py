"""The build sheet, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import ByName, Command, Face, Key, ShopScreen
from commission.procedure.stage_ids import BUILD_SHEET

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook

_AT = "commission.stages.build_sheet"
_SHELL = f"{_AT}.shell"


def _record() -> RecordFace:
    from commission.stages.build_sheet.record_face import RECORD

    return RECORD


def _empty(state: BuildState) -> bool:
    from commission.procedure.stage_ids import HOLD

    return not state.parts and state.volume is None and not state.runs.get(HOLD)


def _needs(_book: Logbook, state: BuildState, _turn: StageState | None) -> str:
    return "its parts list" if not state.parts and state.volume is None and state.held is None else ""


FACE = Face(
    id=BUILD_SHEET,
    record=_record,
    flow=ByName(f"{_AT}.card.sheet:SheetFlow"),
    rows=ByName(f"{_AT}.rows:sheet_lines"),
    needs=_needs,
    opens_first=_empty,
    key=Key(key="f2", label="Parts", title="Parts list", told="Parts of this build (F2)"),
    shop=(
        ShopScreen(
            name="instruments",
            title="Meters",
            told="Gauges, thermometers, barometers of the workshop (F5)",
            flow=ByName(f"{_AT}.card.instruments:instruments_flow"),
            key=Key(key="f5", label="Meters", title="Meters"),
        ),
    ),
    commands={
        "part": Command(f"{_SHELL}.part:part", "Add a part to the parts list."),
        "parts": Command(f"{_SHELL}.part:parts", "Add the parts of a file to the parts list."),
        "part-edit": Command(f"{_SHELL}.part:part_edit", "Describe a part of the list again."),
        "part-out": Command(f"{_SHELL}.part:part_out", "Take a part off the parts list."),
        "instrument": Command(f"{_SHELL}.instrument:instrument", "Describe an instrument of the workshop."),
        "rate": Command(f"{_SHELL}.rate:rate", "Record the pressure rating of a part."),
    },
)
"""What the rest of the house sees of it."""
