"""What the record says of the coolant that a soak begins with, and the level that is read in it."""

from typing import TYPE_CHECKING

from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.build_state import BuildState
from commission.stages.fill.state import FillState
from commission.stages.thermal_soak.judge.coolant_held import held_in, named
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.bench.at_hand import StageAtHand
    from commission.bench.deed import Deed
    from commission.stages.thermal_soak.work.soaks import Soaks


def level_in(hand: "StageAtHand[Soaks]", word: str, text: str) -> "Deed":
    """Return what a line about level or reservoir does; raises where it cannot be understood."""
    from commission.stages.fill.at_hand import CoolantAtHand
    from commission.stages.fill.typed.reservoir import level_deed, reservoir_deed

    coolant = CoolantAtHand(hand.book, hand.build_id, hand.work)
    return reservoir_deed(coolant, text) if word == "reservoir" else level_deed(coolant, text, stage=THERMAL_SOAK)


def as_top_up(text: str) -> str:
    """Return a line with the word of a top-up first, where it begins with one as people type it, or with an amount.

    >>> as_top_up("topped up 12 mL"), as_top_up("12 mL from can"), as_top_up("level 120 mm")
    ('top-up 12 mL', 'top-up 12 mL from can', 'level 120 mm')
    """
    from commission.stages.fill.typed.top_up import AS_TYPED

    line = AS_TYPED.sub("top-up", text.strip(), count=1) if AS_TYPED.match(text.strip()) else text
    return f"top-up {line.strip()}" if line.strip()[:1].isdecimal() else line


def top_up_in(hand: "StageAtHand[Soaks]", text: str) -> "Deed":
    """Return what a top-up such as ``12 mL from can`` does after a soak; raises where it cannot be understood."""
    from commission.stages.fill.at_hand import CoolantAtHand
    from commission.stages.fill.typed.moves import move_deed
    from commission.stages.fill.typed.top_up import read_top_up
    from commission.stages.fill.work.fills import Fills

    fills = hand.book.work(Fills)
    coolant = CoolantAtHand(hand.book, hand.build_id, fills)
    pour, told = read_top_up(coolant, text)
    fills.check(hand.build_id, pour)
    return move_deed(coolant, pour, f"{told}; bleed again after it", stage=THERMAL_SOAK)


def first_of_all(state: BuildState) -> str:
    """Return what comes before the load: the cold level, and what makes a level worth something."""
    if state.of(FillState).reservoir is None:
        such = worded("reservoir 60 mm 200 mm, inner diameter and height")
        return f"First describe the reservoir, such as {such}. Then the cold level; then load on."
    return worded("First the cold level, such as level 120 mm 23 degC; then load on.")


def coolant_in(state: BuildState) -> str | None:
    """Return the coolant as it is typed before a soak; None where the record cannot say."""
    held = held_in(state)
    return None if held is None else named(held)
