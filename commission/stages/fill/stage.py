"""The fill, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face, Key, ShopScreen, Span
from commission.procedure.stage_ids import FILL

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

_SHELL = "commission.stages.fill.shell"

_DECIDES = (
    "It passes if what is missing is at the most (95 %) the share that may be missing. It fails if it is more even at "
    "the least, or if more went in than fits. Else it is inconclusive."
)


def _record() -> RecordFace:
    from commission.stages.fill.record_face import RECORD

    return RECORD


def _beside(flow: Flow) -> object:
    from commission.stages.fill.plot.screen import FillBeside

    return FillBeside(flow)


def _flow(book: Logbook, build_id: str) -> Flow:
    from commission.stages.fill.card.fill import FillFlow

    return FillFlow(book, build_id)


def _bottles_flow(book: Logbook) -> Flow:
    from commission.stages.fill.card.bottles import bottles_flow

    return bottles_flow(book)


def _rows(book: Logbook, state: BuildState) -> Iterable[Fact]:
    from commission.stages.fill.rows.show import fill_lines

    return fill_lines(book, state)


def _charts(book: Logbook, state: BuildState) -> Iterable[Chart]:
    from commission.stages.fill.rows.charts import fill_charts

    return fill_charts(book, state)


def _listings(book: Logbook, state: BuildState) -> Iterable[Listing]:
    from commission.stages.fill.rows.listings import fill_listings

    return fill_listings(book, state)


def _running(book: Logbook, state: BuildState) -> Iterable[Running]:
    from commission.stages.fill.rows.running import running

    return running(book, state)


FACE = Face(
    id=FILL,
    record=_record,
    flow=_flow,
    beside=_beside,
    rows=_rows,
    charts=_charts,
    listings=_listings,
    decides=_DECIDES,
    shows=("fill added", "in the loop"),
    spans=(Span(begun=("coolant poured",), ended=("fill closed", "bleed closed")),),
    running=_running,
    under_way="more coolant",
    shop=(
        ShopScreen(
            name="bottles",
            title="Bottles",
            told="What there is to add, and what is left (F9)",
            flow=_bottles_flow,
            key=Key(key="f9", label="Bottles", title="Bottles", shown=False),
        ),
    ),
    renamed={"pour": "amount"},
    commands={
        "calc coolant": Command(
            f"{_SHELL}.calc_coolant:coolant", "Tell density, heat capacity, viscosity and freezing point."
        ),
        "calc mix": Command(f"{_SHELL}.calc_coolant:mix", "Tell how much concentrate and water make a coolant."),
        "calc headspace": Command(f"{_SHELL}.calc_loop:headspace", "Tell the pressure of a closed loop when it warms."),
        "calc volume": Command(f"{_SHELL}.calc_loop:volume", "Tell the volume of a loop from strokes of a pump."),
        "bottle": Command(f"{_SHELL}.bottle:bottle", "Keep bottles of coolant and water."),
        "pump-supply": Command(f"{_SHELL}.pump_supply:pump_supply", "Record what powers the pump in fill and bleed."),
        "amount": Command(f"{_SHELL}.pour:amount", "Record what went into a loop or out of it."),
        "fill": Command(f"{_SHELL}.fill:fill", "Record steps, level and the end of the fill."),
        "fill step": Command(f"{_SHELL}.fill:step", "Record that a step of the fill was done."),
        "fill reservoir": Command(f"{_SHELL}.fill:reservoir", "Describe the straight part of the reservoir."),
        "fill level": Command(f"{_SHELL}.fill:level", "Record the level in the reservoir."),
        "fill end": Command(f"{_SHELL}.fill:end", "End the fill and judge it."),
    },
)
"""What the rest of the house sees of it."""
