"""The bleed, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import ByName, Command, Face, Span
from commission.procedure.stage_ids import BLEED

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook

_AT = "commission.stages.bleed"
_SHELL = f"{_AT}.shell"

_DECIDES = (
    "It passes if the last cycles kept to the limits: enough of them, over enough time, each with a small top-up, "
    "quiet, without bubbles. It fails if the last cycle breaks that for sure, the amounts do not get smaller, or "
    "coolant may have run out. Else it is inconclusive."
)


def _record() -> RecordFace:
    from commission.stages.bleed.record_face import RECORD

    return RECORD


def _takes(book: Logbook, state: BuildState) -> float:
    return book.procedure(state).stage(BLEED).limit("span_s")


FACE = Face(
    id=BLEED,
    record=_record,
    flow=ByName(f"{_AT}.card.bleed:BleedFlow"),
    beside=ByName(f"{_AT}.plot.screen:BleedBeside"),
    rows=ByName(f"{_AT}.rows.show:bleed_lines"),
    charts=ByName(f"{_AT}.rows.charts:bleed_charts"),
    listings=ByName(f"{_AT}.rows.listings:bleed_listings"),
    decides=_DECIDES,
    shows=("bleed clean cycles", "clean cycles"),
    spans=(Span(begun=("bleed started",), ended=("fill closed", "bleed closed")),),
    running=ByName(f"{_AT}.rows.running:running"),
    takes=_takes,
    under_way="cycles, to its end",
    commands={
        "calc bleed": Command(f"{_SHELL}.calc_bleed:bleed", "Tell the air that is still to come out."),
        "bleed": Command(f"{_SHELL}.bleed:bleed", "Record the bleed: start, cycles, end."),
        "bleed begin": Command(f"{_SHELL}.bleed:begin", "Record that the bleed begins."),
        "bleed cycle": Command(f"{_SHELL}.bleed:cycle", "Record cycles of the bleed."),
        "bleed end": Command(f"{_SHELL}.bleed:end", "End the bleed and judge it."),
    },
)
"""What the rest of the house sees of it."""
