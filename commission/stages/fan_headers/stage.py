"""The fan headers, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import ByName, Command, Face, Span
from commission.procedure.stage_ids import FAN_HEADERS

if TYPE_CHECKING:
    from commission.record.face import RecordFace

_AT = "commission.stages.fan_headers"
_SHELL = f"{_AT}.shell"

_DECIDES = (
    "It passes if every chain does on its header what it should, by its last sweep. It fails if a header is "
    "overloaded or can stop a pump, or if that sweep failed. It is inconclusive while a chain has no sweep since it "
    "was plugged or set."
)


def _record() -> RecordFace:
    from commission.stages.fan_headers.record_face import RECORD

    return RECORD


FACE = Face(
    id=FAN_HEADERS,
    record=_record,
    flow=ByName(f"{_AT}.card.headers:HeadersFlow"),
    beside=ByName(f"{_AT}.plot.screen:SweepBeside"),
    rows=ByName(f"{_AT}.rows.show_headers:headers_lines"),
    charts=ByName(f"{_AT}.rows.charts:sweep_charts"),
    listings=ByName(f"{_AT}.rows.listings:headers_listings"),
    decides=_DECIDES,
    shows=("fan headers reason", ""),
    spans=(Span(begun=("sweep begun",), ended=("sweep taken", "sweep aborted")),),
    running=ByName(f"{_AT}.rows.running:running"),
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
