"""What of the coolant an ``undo`` can withdraw: amounts and levels of the attempt that runs."""

from typing import TYPE_CHECKING

from commission.bench.last_entry import LastEntry
from commission.stages.fill.typed.moves import moved_text

if TYPE_CHECKING:
    from commission.stages.fill.at_hand import CoolantAtHand


def moved_in(hand: "CoolantAtHand", stage: str) -> list[LastEntry]:
    """Return what was moved or read in the attempt of a stage that runs; nothing where none does."""
    started = hand.state.run(stage).started
    coolant = hand.coolant
    done = [LastEntry(seq=one.seq, what=moved_text(one.movement)) for one in coolant.moves if one.stage == stage]
    done += [
        LastEntry(seq=one.seq, what=f"level {one.read.level.typed}")
        for one in coolant.levels
        if one.read.stage == stage
    ]
    # A fill starts with its first amount, which can be withdrawn as any other.
    return [one for one in done if started is not None and one.seq >= started.seq]
