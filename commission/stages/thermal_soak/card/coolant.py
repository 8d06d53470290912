"""What the record says of the coolant that a soak begins with."""

from commission.record.build_state import BuildState
from commission.stages.fill.model.coolant import GLYCOLS, Base
from commission.stages.fill.state import FillState


def coolant_in(state: BuildState) -> str | None:
    """Return the coolant as it is typed before a soak, from what was poured; water where nothing was told.

    None where the record cannot say: a ready mix, or several kinds. Heat by the figures of another coolant would be
    wrong, so it is typed then.
    """
    from commission.stages.fill.judge.mixture import fold_movements

    moves = state.of(FillState).movements
    if not moves:
        return "water"
    coolant = fold_movements(moves)[-1].coolant
    if coolant.base is Base.WATER or coolant.base is None:
        return "water"
    if coolant.base not in GLYCOLS or coolant.mass_fraction is None:
        return None
    return f"{coolant.base} {100 * coolant.mass_fraction:.1f} %"
