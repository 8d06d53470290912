"""The fill, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import ByName, Command, Face, Key, ShopScreen, Span
from commission.procedure.stage_ids import FILL

if TYPE_CHECKING:
    from commission.record.face import RecordFace

_AT = "commission.stages.fill"
_SHELL = f"{_AT}.shell"

_DECIDES = (
    "It passes if what is missing is at the most (95 %) the share that may be missing. It fails if it is more even at "
    "the least, or if more went in than fits. Else it is inconclusive."
)


def _record() -> RecordFace:
    from commission.stages.fill.record_face import RECORD

    return RECORD


FACE = Face(
    id=FILL,
    record=_record,
    flow=ByName(f"{_AT}.card.fill:FillFlow"),
    beside=ByName(f"{_AT}.plot.screen:FillBeside"),
    rows=ByName(f"{_AT}.rows.show:fill_lines"),
    charts=ByName(f"{_AT}.rows.charts:fill_charts"),
    listings=ByName(f"{_AT}.rows.listings:fill_listings"),
    decides=_DECIDES,
    shows=("fill added", "in the loop"),
    spans=(Span(begun=("coolant poured",), ended=("fill closed", "bleed closed")),),
    running=ByName(f"{_AT}.rows.running:running"),
    under_way="more coolant",
    shop=(
        ShopScreen(
            name="bottles",
            title="Bottles",
            told="What there is to add, and what is left (F9)",
            flow=ByName(f"{_AT}.card.bottles:bottles_flow"),
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
