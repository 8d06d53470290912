"""The bleed, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face, Span
from commission.procedure.stage_ids import BLEED

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.bench.ask import Flow
    from commission.bench.card import Fact
    from commission.bench.chart import Chart
    from commission.bench.face import Running
    from commission.bench.listing import Listing
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook

_SHELL = "commission.stages.bleed.shell"

_DECIDES = (
    "It passes if the last cycles kept to the limits: enough of them, over enough time, each with a small top-up, "
    "quiet, without bubbles. It fails if the last cycle breaks that for sure, the amounts do not get smaller, or "
    "coolant may have run out. Else it is inconclusive."
)


def _record() -> RecordFace:
    from commission.stages.bleed.record_face import RECORD

    return RECORD


def _beside(flow: Flow) -> object:
    from commission.stages.bleed.plot.screen import BleedBeside

    return BleedBeside(flow)


def _flow(book: Logbook, build_id: str) -> Flow:
    from commission.stages.bleed.card.bleed import BleedFlow

    return BleedFlow(book, build_id)


def _rows(book: Logbook, state: BuildState) -> Iterable[Fact]:
    from commission.stages.bleed.rows.show import bleed_lines

    return bleed_lines(book, state)


def _charts(book: Logbook, state: BuildState) -> Iterable[Chart]:
    from commission.stages.bleed.rows.charts import bleed_charts

    return bleed_charts(book, state)


def _listings(book: Logbook, state: BuildState) -> Iterable[Listing]:
    from commission.stages.bleed.rows.listings import bleed_listings

    return bleed_listings(book, state)


def _running(book: Logbook, state: BuildState) -> Iterable[Running]:
    from commission.stages.bleed.rows.running import running

    return running(book, state)


def _takes(book: Logbook, state: BuildState) -> float:
    return book.procedure(state).stage(BLEED).limit("span_s")


FACE = Face(
    id=BLEED,
    record=_record,
    flow=_flow,
    beside=_beside,
    rows=_rows,
    charts=_charts,
    listings=_listings,
    decides=_DECIDES,
    shows=("bleed clean cycles", "clean cycles"),
    spans=(Span(begun=("bleed started",), ended=("fill closed", "bleed closed")),),
    running=_running,
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
