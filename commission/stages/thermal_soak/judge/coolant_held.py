"""What the record says of the coolant in the loop, and whether a soak is reckoned with another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.stages.fill.judge.mixture import fold_movements
from commission.stages.fill.model.coolant import GLYCOLS, Base
from commission.stages.fill.state import FillState
from commission.stages.thermal_soak.judge import reasons_told
from commission.stages.thermal_soak.model import SoakPlan

if TYPE_CHECKING:
    from commission.base.quantity import Phrase
    from commission.record.build_state import BuildState

SHARE_WITHIN = 0.02
"""Shares of glycol that differ by less are one coolant [1]; our choice: a refractometer is read to that."""


def held_in(state: BuildState) -> SoakPlan | None:
    """Return the coolant by what was poured; water where nothing was told.

    None where the record cannot say: a ready mix, or several kinds. Heat by the figures of another coolant would be
    wrong, so it is typed then.
    """
    from commission.physics.glycol import Glycol

    moves = state.of(FillState).movements
    if not moves:
        return SoakPlan()
    coolant = fold_movements(moves)[-1].coolant
    if coolant.base is Base.WATER or coolant.base is None:
        return SoakPlan()
    if coolant.base not in GLYCOLS or coolant.mass_fraction is None:
        return None
    return SoakPlan(base=Glycol(coolant.base), mass_fraction=coolant.mass_fraction)


def named(plan: SoakPlan) -> str:
    """Return a coolant as it is typed before a soak."""
    return "water" if plan.base is None else f"{plan.base} {100 * plan.mass_fraction:.1f} %"


def other_coolant(plan: SoakPlan, state: BuildState) -> Phrase | None:
    """Return that a soak is reckoned with a coolant that is not the record's; None where it is, or is not known."""
    held = held_in(state)
    if held is None or not state.of(FillState).movements:
        return None
    if held.base is plan.base and abs(held.mass_fraction - plan.mass_fraction) < SHARE_WITHIN:
        return None
    return reasons_told.other_coolant(named(plan), named(held))
