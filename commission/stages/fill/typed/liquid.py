"""What a line does that speaks of the liquid in the loop, in the fill and in the bleed alike."""

from typing import TYPE_CHECKING

from commission.stages.fill.typed.moves import OUT, out_deed
from commission.stages.fill.typed.pump_supply import supply_deed
from commission.stages.fill.typed.reservoir import level_deed, reservoir_deed

if TYPE_CHECKING:
    from commission.bench.deed import Deed
    from commission.stages.fill.at_hand import CoolantAtHand

LIQUID = {
    "spill": "spill 20 mL: what ran out beside the filler, or out of it",
    "drain": "drain 250 mL: what was let out on purpose",
    "draw": "draw 5 mL: what a syringe took out",
    "lost": "lost 5 mL: water that went into the air",
    "level": "level 120 mm 23 degC: level above the zero mark, and the coolant's temperature",
    "reservoir": "reservoir 60 mm 200 mm: inner diameter and height of its straight part",
    "supply": "supply own: what powers the pump, own or bridged",
}
"""Words of such a line."""


def liquid_deed(hand: "CoolantAtHand", word: str, rest: str, *, stage: str) -> "Deed | None":
    """Return what a line does that begins with one of those words; None where it begins with another.

    Raises
    ------
    CommissionError
        If what stands behind the word cannot be understood, or may not be done now.
    """
    match word:
        case "level":
            return level_deed(hand, rest, stage=stage)
        case "reservoir":
            return reservoir_deed(hand, rest)
        case "supply":
            return supply_deed(hand, rest)
        case _ if word in OUT:
            return out_deed(hand, word, rest, stage=stage)
        case _:
            return None
