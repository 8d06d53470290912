"""The bleed, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face
from commission.procedure.stage_ids import BLEED

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.logbook import Logbook


def _record() -> RecordFace:
    from commission.stages.bleed.record_face import RECORD

    return RECORD


def _screen(book: Logbook, build_id: str) -> object:
    from commission.stages.bleed.plot.screen import BleedScreen

    return BleedScreen(book, build_id)


FACE = Face(
    id=BLEED,
    record=_record,
    screen=_screen,
    commands={
        "calc bleed": Command("commission.stages.bleed.shell:bleed", "Tell the air that is still to come out."),
    },
)
"""What the rest of the house sees of it."""
