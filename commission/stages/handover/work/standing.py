"""What is known before a machine is handed over, from the record alone."""

from commission.procedure.model import Procedure, Stage
from commission.procedure.stage_ids import HANDOVER
from commission.record.build_state import BuildState
from commission.record.locks import counts
from commission.record.taken_back import TakenBack
from commission.stages.fill.model.fill import Pour
from commission.stages.fill.work.levels import hidden_without_warmth
from commission.stages.handover.entries import ToppedUp
from commission.stages.handover.model import HandoverFacts, StageStands
from commission.stages.handover.state import HandoverState, LostTopUp, moves_of, present_coolant
from commission.stages.handover.work.looks import seen_low


def facts_of(procedure: Procedure, state: BuildState) -> HandoverFacts:
    """Return where the stages stand that the handover rests on, what is open, and what was named."""
    kept = state.of(HandoverState)
    return HandoverFacts(
        stages=tuple(_stands(procedure, state, id_) for id_ in procedure.stage(HANDOVER).rests_on),
        defects=tuple((one.seq, one.told) for one in state.open_findings),
        spares_named=kept.spares is not None,
        planned=kept.life is not None or life_of(procedure.stage(HANDOVER), state) is not None,
        left_out=() if state.held is None else state.held.left_out,
        taken=tuple(map(_taken, kept.lost)),
        seen_low=seen_low(state),
        spared=_spared(procedure, state),
        level_hides=hidden_without_warmth(state),
        other_bottles=_other_bottles(kept),
    )


def _spared(procedure: Procedure, state: BuildState) -> tuple[TakenBack, ...]:
    """Return what took a proof away since the machine was handed over last, and was withdrawn, in order."""
    last = state.judged_run(HANDOVER)
    told = last.closed.seq if last is not None and last.closed is not None else 0
    runs = (state.judged_run(stage) for stage in (*procedure.stage(HANDOVER).rests_on, HANDOVER))
    found = {one.seq: one for run in runs if run is not None for one in run.spared if one.seq > told}
    return tuple(found[seq] for seq in sorted(found))


def _other_bottles(kept: HandoverState) -> tuple[str, ...]:
    named = "" if kept.spares is None else kept.spares.bottle
    poured = (one.payload.pour.bottle.name for one in kept.topped_now if isinstance(one.payload, ToppedUp))
    return tuple(dict.fromkeys(name for name in poured if named and name != named))


def _taken(lost: LostTopUp) -> str:
    more = " MORE than usual" if lost.volume_m3 > lost.usual_m3 else ""
    return f"top-up {1e6 * lost.volume_m3:.0f} mL{more} (entry {lost.seq}: {lost.reason})"


def life_of(stage: Stage, state: BuildState) -> float | None:
    """Return how long the coolant may stay in [s]: as typed for this machine, else the shortest of what is in it.

    None where neither says it.
    """
    typed = state.of(HandoverState).life
    if typed is not None:
        return typed.life_s
    present = (one.movement for one in present_coolant(moves_of(state), stage.limit("changed_share")))
    poured = (one.bottle.lasts_s for one in present if isinstance(one, Pour))
    return min((one for one in poured if one is not None), default=None)


def _stands(procedure: Procedure, state: BuildState, stage: str) -> StageStands:
    return StageStands(
        title=procedure.stage(stage).title,
        passed=counts(state, stage),
        overridden=state.overridden.get(stage, ""),
        judged=state.judged_run(stage) is not None,
    )
