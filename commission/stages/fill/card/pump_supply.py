"""What powers the pump while the loop is filled and bled: asked at the start, and said again where it changes."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError, NotAllowed
from commission.base.pump_supply import PumpSupply
from commission.base.text import clip
from commission.bench.ask import Question, asked_once
from commission.bench.deed import Deed
from commission.bench.prompt import Prompt
from commission.procedure.stage_ids import FIRST_POWER
from commission.record.locks import as_refusal, bridge_lock, pump_lock

if TYPE_CHECKING:
    from commission.bench.at_hand import StageAtHand

_WAYS = {str(way): way for way in PumpSupply}
_WANTED = "own (a supply of the pump's own) or bridged (the computer's supply)"


def ask_pump_supply(hand: "StageAtHand") -> Question:
    """Ask what powers the pump, or what to do where the bridged supply has not passed its rungs."""
    locked = pump_lock(hand.state)
    ask = "What powers the pump while you fill and bleed: own or bridged? Prefer a supply of its own."
    if hand.state.pump_supply is not None and locked is not None:
        ask = locked.template
    return asked_once(
        Prompt(
            key="pump supply",
            ask=ask,
            hint="bridged waits for cables and supply alone, which need no coolant: go opens the first power-on",
            placeholder="type own or bridged",
        ),
        lambda text: _supply_or_go(hand, text),
    )


def supply_deed(hand: "StageAtHand", text: str) -> Deed:
    """Return what saying another supply does.

    Raises
    ------
    InputError
        If it is none of the two.
    NotAllowed
        If it is recorded already, or the computer's supply has not passed its rungs.
    """
    way = _WAYS.get(text.strip().casefold())
    if way is None:
        raise InputError(f"{clip(text) if text.strip() else 'nothing'} was not expected here; type {_WANTED}")
    if way is hand.state.pump_supply:
        raise NotAllowed(f"that is recorded already: {way.told}")
    locked = bridge_lock(hand.state) if way is PumpSupply.BRIDGED else None
    if locked is not None:
        raise NotAllowed(as_refusal(locked))

    def do() -> str:
        logged = hand.book.fill.choose_pump_supply(hand.build_id, way)
        return f"entry {logged.seq} · the pump is powered by {way.told}"

    return Deed(told=f"the pump is powered by {way.told}", do=do)


def _supply_or_go(hand: "StageAtHand", text: str) -> Deed:
    if text.strip().casefold() != "go":
        return supply_deed(hand, text)
    return Deed(told="go to the first power-on: cables and supply alone", go=FIRST_POWER)
