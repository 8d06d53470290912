"""Changes of the machine that take away the worth of what was shown before, and who listens."""

from enum import StrEnum
from typing import Protocol, Self, runtime_checkable


class Change(StrEnum):
    """What happened to the loop, to what its pump hangs on, or to the power that all else runs on."""

    TOP_UP = "coolant was topped up, or moved while the loop is filled"
    LIQUID = "what is in the loop was changed after it was filled"
    ANOTHER_LOOP = "another loop, or another fill"
    HELD_ON_AIR = "the loop is held on air, so nothing is in it any more"
    AT_FAULT = "a defect was found in a loop that had passed, or it holds another volume than it was judged by"
    AIR_LEFT = "a bleed failed: air is left in the loop, or coolant runs out of it"
    LEVEL_FELL = "cold again after a soak coolant is missing: air that was bound came out of it, or it leaks"
    COOLANT_GONE = "the level fell since the loop was bled: coolant is gone, or air that was bound came out"
    LEAKED = "coolant came out of the loop at a joint or a part"
    CAME_APART = "the loop came apart under pressure"
    BURNT = "smoke, or coolant on electronics: what was shown under power must be shown again"
    HEAT_PATH = "fans, their duty, plug or header, paste or pads were changed, so that heat leaves another way"
    POWER = "the steps to power were done again, judged, or fell"
    PUMP_SEAT = "the pump was plugged elsewhere, its header set again or shared, or the pump was seen to stand"


@runtime_checkable
class RestsOnTheLoop(Protocol):
    """What a build keeps that speaks of the loop as it is; whoever changes the loop need not know it."""

    def after(self, change: Change, /) -> Self:
        """Return what of it still holds after a change."""
        ...
