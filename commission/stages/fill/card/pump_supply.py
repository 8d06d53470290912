"""What powers the pump while the loop is filled and bled: asked at the start, and said again where it changes."""

from typing import TYPE_CHECKING

from commission.bench.ask import Question, asked_once
from commission.bench.deed import Deed
from commission.procedure.stage_ids import FIRST_POWER
from commission.record.locks import pump_lock
from commission.stages.fill.typed.pump_supply import supply_deed

if TYPE_CHECKING:
    from commission.bench.at_hand import StageAtHand
    from commission.record.stage_work import StageWork


def ask_pump_supply(hand: "StageAtHand[StageWork]") -> Question:
    """Ask what powers the pump, or what to do where the bridged supply has not passed its rungs."""
    locked = pump_lock(hand.state)
    ask = "What powers the pump while you fill and bleed: own or bridged? Prefer a supply of its own."
    if hand.state.pump_supply is not None and locked is not None:
        ask = locked.template
    return asked_once(
        lambda text: _supply_or_go(hand, text),
        key="pump supply",
        ask=ask,
        hint="bridged waits for cables and supply alone, which need no coolant: go opens the first power-on",
        placeholder="type own or bridged",
    )


def _supply_or_go(hand: "StageAtHand[StageWork]", text: str) -> Deed:
    if text.strip().casefold() != "go":
        return supply_deed(hand, text)
    return Deed(told="go to the first power-on: cables and supply alone", go=FIRST_POWER)
