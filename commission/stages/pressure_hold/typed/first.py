"""The first reading of a hold, with which its clock starts."""

from typing import TYPE_CHECKING

from commission.bench.deed import Deed
from commission.bench.figures import pressure
from commission.stages.pressure_hold.typed.reading import read_line

if TYPE_CHECKING:
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.entries import HoldPlan

NEAR = (0.8, 1.2)
"""Shares of the planned pressure within which nothing is told of it [1]; our choice: a pump is stopped by hand."""


def first_deed(hand: "HoldAtHand", plan: "HoldPlan", text: str) -> Deed:
    """Return what the first line of readings does: it starts the clock and is recorded.

    Raises
    ------
    InputError
        If it cannot be understood.
    """
    line = read_line(text, plan, {"gauge": plan.target_gauge_pa})
    gauge, barometer = line.of("gauge"), line.of("barometer")

    def do() -> str:
        hand.work.start(hand.build_id, gauge=gauge, barometer=barometer)
        hand.work.read(hand.build_id, pressure=gauge, air=line.of("air"), barometer=barometer, note=line.note)
        hand.again = False
        return f"the hold runs · {line.told}"

    far = gauge is not None and not NEAR[0] <= gauge.si / plan.target_gauge_pa <= NEAR[1]
    planned = f" (planned {pressure(plan.target_gauge_pa, plan.gauge.unit)})" if far else ""
    return Deed(told=f"{line.told}{planned}", do=do)
