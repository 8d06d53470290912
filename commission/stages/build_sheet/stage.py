"""The build sheet, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face, Key, ShopScreen
from commission.procedure.stage_ids import BUILD_SHEET

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.bench.ask import Flow
    from commission.bench.card import Fact
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook

_SHELL = "commission.stages.build_sheet.shell"


def _record() -> RecordFace:
    from commission.stages.build_sheet.record_face import RECORD

    return RECORD


def _flow(book: Logbook, build_id: str) -> Flow:
    from commission.stages.build_sheet.card.sheet import SheetFlow

    return SheetFlow(book, build_id)


def _instruments_flow(book: Logbook) -> Flow:
    from commission.stages.build_sheet.card.instruments import instruments_flow

    return instruments_flow(book)


def _rows(book: Logbook, state: BuildState) -> Iterable[Fact]:
    from commission.stages.build_sheet.rows import sheet_lines

    return sheet_lines(book, state)


def _empty(state: BuildState) -> bool:
    from commission.procedure.stage_ids import HOLD

    return not state.parts and state.volume is None and not state.runs.get(HOLD)


def _needs(_book: Logbook, state: BuildState, _turn: StageState | None) -> str:
    return "its parts list" if not state.parts and state.volume is None and state.held is None else ""


FACE = Face(
    id=BUILD_SHEET,
    record=_record,
    flow=_flow,
    rows=_rows,
    needs=_needs,
    opens_first=_empty,
    key=Key(key="f2", label="Parts", title="Parts list", told="Parts of this build (F2)"),
    shop=(
        ShopScreen(
            name="instruments",
            title="Meters",
            told="Gauges, thermometers, barometers of the workshop (F5)",
            flow=_instruments_flow,
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
