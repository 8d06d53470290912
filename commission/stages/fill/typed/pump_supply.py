"""What powers the pump, as one typed word."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.pump_supply import PumpSupply
from commission.base.text import clip
from commission.bench.deed import Deed, numbered
from commission.stages.fill.work.fills import Fills

if TYPE_CHECKING:
    from commission.bench.at_hand import StageAtHand
    from commission.record.stage_work import StageWork

_WAYS = {str(way): way for way in PumpSupply}
_WANTED = "own (a supply of the pump's own) or bridged (the computer's supply)"


def supply_deed(hand: "StageAtHand[StageWork]", text: str) -> Deed:
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
        raise InputError(f"{clip(text)} was not expected here; type {_WANTED}" if text.strip() else f"type {_WANTED}")
    hand.book.work(Fills).check_supply(hand.state, way)
    return numbered(
        f"the pump is powered by {way.told}", lambda: hand.book.work(Fills).choose_pump_supply(hand.build_id, way)
    )
