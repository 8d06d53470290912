"""The fan headers, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face, Span
from commission.procedure.stage_ids import FAN_HEADERS

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

_SHELL = "commission.stages.fan_headers.shell"

_DECIDES = (
    "It passes if every chain does on its header what it should, by its last sweep. It fails if a header is "
    "overloaded or can stop a pump, or if that sweep failed. It is inconclusive while a chain has no sweep since it "
    "was plugged or set."
)


def _record() -> RecordFace:
    from commission.stages.fan_headers.record_face import RECORD

    return RECORD


def _beside(flow: Flow) -> object:
    from commission.stages.fan_headers.plot.screen import SweepBeside

    return SweepBeside(flow)


def _flow(book: Logbook, build_id: str) -> Flow:
    from commission.stages.fan_headers.card.headers import HeadersFlow

    return HeadersFlow(book, build_id)


def _rows(book: Logbook, state: BuildState) -> Iterable[Fact]:
    from commission.stages.fan_headers.rows.show_headers import headers_lines

    return headers_lines(book, state)


def _charts(book: Logbook, state: BuildState) -> Iterable[Chart]:
    from commission.stages.fan_headers.rows.charts import sweep_charts

    return sweep_charts(book, state)


def _listings(book: Logbook, state: BuildState) -> Iterable[Listing]:
    from commission.stages.fan_headers.rows.listings import headers_listings

    return headers_listings(book, state)


def _running(book: Logbook, state: BuildState) -> Iterable[Running]:
    from commission.stages.fan_headers.rows.running import running

    return running(book, state)


FACE = Face(
    id=FAN_HEADERS,
    record=_record,
    flow=_flow,
    beside=_beside,
    rows=_rows,
    charts=_charts,
    listings=_listings,
    decides=_DECIDES,
    shows=("fan headers reason", ""),
    spans=(Span(begun=("sweep begun",), ended=("sweep taken", "sweep aborted")),),
    running=_running,
    under_way="sweeps, to its end",
    renamed={"watch": "speeds"},
    commands={
        "judge sweep": Command(
            f"{_SHELL}.judge_sweep:judge_sweep", "Judge sweeps: whether a header controls its fans."
        ),
        "calc layout": Command(
            f"{_SHELL}.calc_layout:layout", "Tell which chain of fans or pump goes on which header."
        ),
        "speeds": Command(f"{_SHELL}.watch:watch", "Print the speeds and temperatures of the board."),
        "headers": Command(f"{_SHELL}.headers:headers", "Show what sits on which fan header, or sat there."),
        "fans": Command(f"{_SHELL}.fans:fans", "Record headers, chains, seats, sweeps and duties."),
        "fans sheet": Command(f"{_SHELL}.fans:sheet", "Write the headers and chains of a file down."),
        "fans header": Command(f"{_SHELL}.fans:header", "Write headers of the board down."),
        "fans chain": Command(f"{_SHELL}.fans:chain", "Write chains of fans, or a pump, down."),
        "fans set": Command(f"{_SHELL}.fans:set_header", "Record how headers were set in the firmware."),
        "fans plug": Command(f"{_SHELL}.fans:plug", "Record that chains were plugged into headers."),
        "fans found": Command(f"{_SHELL}.fans:found", "Record plugs that sit already, right or wrong."),
        "fans unplug": Command(f"{_SHELL}.fans:unplug", "Record that chains were taken off their headers."),
        "fans remove": Command(f"{_SHELL}.fans:remove", "Take a header or a chain off the sheet."),
        "fans sweep": Command(f"{_SHELL}.fans_judged:sweep", "Record a sweep from a file, and judge it."),
        "fans duty": Command(f"{_SHELL}.fans:duty", "Record at which duty chains were left."),
        "fans end": Command(f"{_SHELL}.fans_judged:end", "End the fan headers and judge them."),
    },
)
"""What the rest of the house sees of it."""
