"""The build sheet, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face, ShopScreen

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.logbook import Logbook

_SHELL = "commission.stages.build_sheet.shell"


def _record() -> RecordFace:
    from commission.stages.build_sheet.record_face import RECORD

    return RECORD


def _screen(book: Logbook, build_id: str) -> object:
    from commission.stages.build_sheet.plot.screen import BuildSheetScreen

    return BuildSheetScreen(book, build_id)


def _instruments(book: Logbook) -> object:
    from commission.stages.build_sheet.plot.instruments import InstrumentsScreen

    return InstrumentsScreen(book)


FACE = Face(
    id="build_sheet",
    record=_record,
    screen=_screen,
    shop=(
        ShopScreen(
            name="instruments",
            title="Instruments",
            told="Gauges, thermometers, barometers of the workshop (F5)",
            open=_instruments,
        ),
    ),
    commands={
        "rate": Command(f"{_SHELL}:rate", "Record the pressure rating of a part."),
    },
)
"""What the rest of the house sees of it."""
