"""Losses that are refused as amounts: more than evaporates, and a spill that is an event. One made up hides a leak."""

from commission.base.clock import ClockMark, elapsed_between
from commission.base.errors import NotAllowed
from commission.bench.figures import millilitres
from commission.record.build_state import BuildState
from commission.record.done_at import done_mark
from commission.stages.fill.model.fill import Evaporation, Movement, Spill
from commission.stages.fill.state import FillState

MOST_SPILLED_M3 = 20e-6
"""Largest spill that is told as an amount alone [m3]; our choice: what paper towels hold where it fell."""


def refuse_made_up(state: BuildState, movement: Movement, now: ClockMark) -> None:
    """Refuse such a loss.

    Raises
    ------
    NotAllowed
        If more evaporated than can have by now, or so much was spilled that it is an event. How much ran out by an
        event that was told is no other event.
    """
    amount_m3 = movement.dose.volume_m3
    if isinstance(movement, Spill) and amount_m3 > MOST_SPILLED_M3 and not state.of(FillState).amount_unknown:
        raise NotAllowed(
            f"more than {millilitres(MOST_SPILLED_M3)} spilled is an event: electronics may be wet. Type spill alone, "
            "or: commission defect"
        )
    if isinstance(movement, Evaporation) and amount_m3 > (most_m3 := evaporates_m3(state, now)):
        raise NotAllowed(
            f"at most {millilitres(most_m3)} more can have evaporated by now. What else is gone is a leak, spill or "
            "drain: look, then record that"
        )


def evaporates_m3(state: BuildState, now: ClockMark) -> float:
    """Return the most water that may have evaporated since the loop was filled, beside what was told [m3].

    Source: the usual loss and its reason, `judge.level_fell`.
    """
    from commission.stages.fill.judge.level_fell import USUAL_M3, USUAL_M3_S

    moves = state.of(FillState).moves
    filled = next((one for one in state.wetted if moves and one.seq >= moves[0].seq), None)
    since_s = 0.0 if filled is None else max(0.0, elapsed_between(done_mark(filled), now).elapsed_s)
    told_m3 = sum(one.movement.dose.volume_m3 for one in moves if isinstance(one.movement, Evaporation))
    return max(0.0, USUAL_M3 + USUAL_M3_S * since_s - told_m3)
