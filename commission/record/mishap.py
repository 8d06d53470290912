"""What went wrong at the bench: a leak, a spill, smoke, a burst. It belongs to no stage, and may happen at any."""

from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.quantity import Measured
from commission.record.machine.change import Change


class Mishap(StrEnum):
    """What happened."""

    LEAK = "leak"
    SPILL = "spill"
    SMOKE = "smoke"
    BURST = "burst"


class WentWrong(Frozen):
    """Something went wrong, and was written down."""

    KIND: ClassVar[str] = "went wrong"
    UNITS: ClassVar[dict[str, str]] = {"amount": "m3"}
    mishap_id: str
    """Made by the program; never shown."""
    what: Mishap
    """What happened."""
    where: str
    """The part, joint or place, as typed."""
    seen: str
    """What was seen, as typed."""
    from_bottle: bool = False
    """Whether what was spilled came from the bottle and never was in the loop."""
    on_electronics: bool = False
    """Whether coolant reached a board, a card, a drive, the supply or a plug."""
    amount: Measured | None = None
    """About how much came out; None where nobody knows."""

    @property
    def asks_repair(self) -> bool:
        """Whether something is to be put right; a spill that reached nothing electrical is wiped up."""
        return self.what is not Mishap.SPILL or self.on_electronics

    @property
    def place(self) -> str:
        """What happened and where, in a few words."""
        return f"{self.what}, {self.where}"

    @property
    def told(self) -> str:
        """The whole in one line, as typed."""
        source = " from the bottle" if self.from_bottle else ""
        wet = "; electronics got wet" if self.on_electronics else ""
        amount = f"; about {self.amount.typed}" if self.amount is not None else ""
        return f"{self.what}{source}, {self.where}: {self.seen}{wet}{amount}"


def changes_by(wrong: WentWrong) -> tuple[Change, ...]:
    """Return what a mishap changed of the machine; nothing where coolant went from the bottle beside the loop.

    A leak says that the loop is not tight, and that less is in it than was filled. What comes out of an open filler
    changes only what is in it. Smoke says nothing of the loop, and all that was shown under power is to be shown again;
    so does coolant on electronics. Under air the loop came apart: the hold proved too much.
    """
    match wrong.what:
        case Mishap.LEAK:
            changes: tuple[Change, ...] = (Change.LEAKED,)
        case Mishap.SPILL:
            changes = () if wrong.from_bottle else (Change.LIQUID,)
        case Mishap.SMOKE:
            changes = (Change.BURNT,)
        case Mishap.BURST:
            changes = (Change.CAME_APART,)
    return (*changes, Change.BURNT) if wrong.on_electronics and Change.BURNT not in changes else changes


def speaks_of_the_loop(wrong: WentWrong) -> bool:
    """Return whether a mishap says that the loop is not tight."""
    return wrong.what in (Mishap.LEAK, Mishap.BURST)
