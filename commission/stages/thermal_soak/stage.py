"""The thermal soak, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import ByName, Command, Face, Span
from commission.procedure.stage_ids import THERMAL_SOAK

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook

_AT = "commission.stages.thermal_soak"
_SHELL = f"{_AT}.shell"

_DECIDES = (
    "It passes if coolant and components settle within the limits in the warmest room, at the most. It fails if one "
    "settles above its limit even at the least, if a reading was above it, or if the flow fell. Coolant that is "
    "missing once cold leaves no pass. Else it is inconclusive."
)


def _record() -> RecordFace:
    from commission.stages.thermal_soak.record_face import RECORD

    return RECORD


def _takes(book: Logbook, state: BuildState) -> float:
    return book.procedure(state).stage(THERMAL_SOAK).limit("least_window_s")


FACE = Face(
    id=THERMAL_SOAK,
    record=_record,
    flow=ByName(f"{_AT}.card.soak:SoakFlow"),
    beside=ByName(f"{_AT}.plot.screen:SoakBeside"),
    rows=ByName(f"{_AT}.rows.show:soak_lines"),
    charts=ByName(f"{_AT}.rows.charts:soak_charts"),
    listings=ByName(f"{_AT}.rows.listings:soak_listings"),
    decides=_DECIDES,
    shows=("soak coolant above air", "coolant above air"),
    spans=(Span(begun=("soak started",), ended=("soak closed",)),),
    running=ByName(f"{_AT}.rows.running:running"),
    takes=_takes,
    under_way="readings, to its end",
    commands={
        "judge soak": Command(f"{_SHELL}.judge_soak:judge_soak", "Judge soaks: where a machine settles under load."),
        "calc heat": Command(f"{_SHELL}.calc_heat:heat", "Tell the heat that a coolant carries."),
        "soak": Command(f"{_SHELL}.soak:soak", "Record the thermal soak: start, readings, end."),
        "soak begin": Command(f"{_SHELL}.soak:begin", "Record that the soak begins."),
        "soak read": Command(f"{_SHELL}.soak:read", "Record readings of the soak."),
        "soak feed": Command(f"{_SHELL}.soak:feed", "Record the readings of a table."),
        "soak live": Command(f"{_SHELL}.live:live", "Record readings from a thermometer on a serial port."),
        "soak board": Command(f"{_SHELL}.board:board", "Record the temperatures that the board tells."),
        "soak limit": Command(f"{_SHELL}.soak:limit", "Record how warm a component may get, by its maker."),
        "soak look": Command(f"{_SHELL}.soak:look", "Record what paper shows at hot joints."),
        "soak joints": Command(f"{_SHELL}.soak:joints", "Record the look at the hot joints."),
        "soak level": Command(f"{_SHELL}.soak:level", "Record the level: cold before the load, cold again after."),
        "soak end": Command(f"{_SHELL}.soak:end", "End the soak and judge it."),
    },
)
"""What the rest of the house sees of it."""
