"""Brings the movements, the loop and the procedure together for the judge of a fill."""

import math
from collections.abc import Iterable

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Phrase, Quantity
from commission.base.verdict import Outcome
from commission.physics.loop_volume import Uncertain
from commission.procedure.model import Stage
from commission.procedure.stage_ids import BLEED, FILL
from commission.record.build_state import BuildState
from commission.record.entries import StepDone
from commission.record.logged import Logged
from commission.record.machine.loop import LoopVolume, weakest_part
from commission.record.staleness import shown_run
from commission.record.taken_back import told_of
from commission.stages.fill.model.fill import (
    REFERENCE_K,
    Dose,
    FillSetup,
    FillVerdict,
    HeadspaceReport,
    Pour,
    Way,
    beside,
)
from commission.stages.fill.state import FillState, Moved
from commission.units.show import show

SUM_OFF = 0.02
"""How far a plain sum of amounts may lie below their volume at the reference temperature [1]; our choice: coolant at
0 °C grows by 1 % at most up to 20 °C (Melinder 2010), and as much again for safety."""
LOOK_STEP = "look"
"""Id of the step that looks for drips."""
WET_STEPS = ("first_fill", "bursts", LOOK_STEP, "to_the_mark")
"""Ids of the steps of a fill that need coolant in the loop."""
LEAST_SHARE = 0.1
"""Least share of the loop that is in before the pump runs or anybody looks for drips [1]; our choice: a reservoir that
is full to below its filler holds more of any usual loop, and a spoonful in it leaves the pump's inlet dry."""
LEAST_WIDTHS = 1.6
"""Standard uncertainties of the loop's volume that a proof of too much needs at least [1]. Source: below the 1.64 of
JCGM 106:2012, Table 1."""


def expected(state: BuildState) -> LoopVolume | None:
    """Return the liquid that the loop should take: its volume less the air above the last level."""
    from commission.stages.fill.judge.verdict import expected_liquid

    return expected_liquid(state.volume, air_above(state) or Uncertain(0.0))


def air_above(state: BuildState) -> Uncertain | None:
    """Return the air above the level that was read last, with its standard uncertainty [m3]; None where none was."""
    from commission.stages.fill.judge.level import headspace_above

    kept = state.of(FillState)
    if kept.reservoir is None or not kept.levels:
        return None
    try:
        return headspace_above(kept.reservoir, kept.levels[-1].read.level.si)
    except InputError:  # the reservoir was described again since the level was read, and it does not reach so far
        return None


def judge_fill(stage: Stage, state: BuildState, *, running: bool) -> FillVerdict:
    """Judge a fill from what the log holds of it."""
    from commission.stages.fill.judge.verdict import evaluate_fill

    setup = FillSetup(
        expected=expected(state),
        missing_share=stage.limit("missing_share"),
        amount_unknown=state.of(FillState).amount_unknown,
    )
    verdict = evaluate_fill(state.of(FillState).movements, setup, running=running)
    report = headspace_report(stage, state) if verdict.outcome is Outcome.PASS else None
    if report is None or report.outcome is not Outcome.FAIL:
        return verdict
    # warm, it would burst as it is; once some is drawn off and the level read again it passes
    return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(*report.reasons[:2], *verdict.reasons))


def told_of_amounts(stage: Stage, state: BuildState, verdict: FillVerdict) -> FillVerdict:
    """Tell the amounts of a fill that were withdrawn, where it would be no pass with them."""
    run = shown_run(state, FILL)
    lost = [one for one in state.of(FillState).lost if one.moved.stage == FILL and one.attempt == run.attempt]
    if verdict.outcome is not Outcome.PASS or not lost:
        return verdict
    from commission.stages.fill.judge.verdict import evaluate_fill

    end = math.inf if run.closed is None else run.closed.seq
    moves = [one for one in (*state.of(FillState).moves, *(one.moved for one in lost)) if one.seq < end]
    setup = FillSetup(expected=expected(state), missing_share=stage.limit("missing_share"))
    with_them = evaluate_fill([one.movement for one in sorted(moves, key=lambda one: one.seq)], setup)
    if with_them.outcome is Outcome.PASS:
        return verdict
    told = told_of([one.taken_back for one in lost])
    return replace(verdict, reasons=(*verdict.reasons[:1], *told, *verdict.reasons[1:]))


def with_supply_unsaid(state: BuildState, verdict: FillVerdict) -> FillVerdict:
    """Take the pass from a fill that was poured without a word about what powers the pump, though that was asked."""
    poured = any(isinstance(one, Pour) for one in state.of(FillState).movements)
    if verdict.outcome is not Outcome.PASS or state.pump_supply is not None or not poured:
        return verdict
    from commission.stages.fill.judge.reasons import SUPPLY_NOT_SAID

    return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(SUPPLY_NOT_SAID, *verdict.reasons))


def with_steps_open(verdict: FillVerdict, steps: tuple[str, ...]) -> FillVerdict:
    """Take the pass from a fill of which steps are open: nobody said that the pump ran and all stayed dry."""
    if verdict.outcome is not Outcome.PASS or not steps:
        return verdict
    from commission.stages.fill.judge.reasons import steps_not_done

    return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(steps_not_done(steps), *verdict.reasons))


def poured_last(state: BuildState) -> int:
    """Return the attempt in which coolant was poured last; 1 where none was.

    What was done in one before it was done to another filling: coolant may have been let out since.
    """
    poured = [one.seq for one in state.of(FillState).moves if one.stage == FILL and isinstance(one.movement, Pour)]
    begun = [run for run in (*state.runs.get(FILL, ()), state.run(FILL)) if run.started is not None]
    return max((run.attempt for run in begun if poured and run.started and run.started.seq <= poured[-1]), default=1)


def looked_too_early(stage: Stage, state: BuildState, entries: Iterable[Logged]) -> bool:
    """Return whether more was poured behind the last look for drips than a fill may be short of."""
    looks = (
        one.seq
        for one in entries
        if isinstance(one.payload, StepDone) and (one.payload.stage, one.payload.step) == (FILL, LOOK_STEP)
    )
    looked = max((seq for seq in looks if seq not in state.withdrawn), default=math.inf)
    behind = (one.movement for one in state.of(FillState).moves if one.seq > looked and one.stage == FILL)
    behind_m3 = sum(one.dose.volume_m3 for one in behind if isinstance(one, Pour))
    return behind_m3 > stage.limit("missing_share") * state.coolant_m3


def refuse_too_empty(state: BuildState, step: str) -> None:
    """Refuse a step that needs coolant while the loop holds none by the record, or too little for the pump.

    Raises
    ------
    NotAllowed
        If it does.
    """
    if step not in WET_STEPS:
        return
    held_m3, loop = state.coolant_m3, state.volume
    if held_m3 <= 0:
        raise NotAllowed("nothing was added yet; type what went in first")
    least_m3 = 0.0 if loop is None else LEAST_SHARE * loop.volume_m3
    if held_m3 < least_m3:
        held, least = (show(m3, Quantity.VOLUME, own="mL") for m3 in (held_m3, least_m3))
        raise NotAllowed(
            f"only {held} are in as logged: the pump would run dry. First fill until {least} or more are in"
        )


def more_than_fits(state: BuildState) -> bool:
    """Return whether more is in than the loop takes, by the judge of a fill.

    Asked at each top-up that is read: where the plain sum cannot come to it, the judge is not even loaded.
    """
    loop = state.volume
    if loop is None:
        return False
    held_m3 = sum(one.dose.volume_m3 * (1 if isinstance(one, Pour) else -1) for one in state.of(FillState).movements)
    air = air_above(state) or Uncertain(0.0)
    if held_m3 * (1 + SUM_OFF) <= loop.volume_m3 - air.value + LEAST_WIDTHS * loop.u_volume_m3:
        return False
    from commission.stages.fill.judge.verdict import holds_too_much

    takes = expected(state)
    return takes is not None and holds_too_much(state.of(FillState).movements, takes)


def took_more_than_lacked(state: BuildState, before: int, gone: Uncertain) -> bool:
    """Return whether it is proven that more liquid left the level than the loop lacked before an entry.

    Parameters
    ----------
    before
        Number of the entry; what moved and was read from it on does not count [1].
    gone
        Liquid that is said to have taken the place of air since, and its standard uncertainty [m3].
    """
    kept = state.of(FillState)
    kept = replace(
        kept,
        moves=tuple(one for one in kept.moves if one.seq < before),
        levels=tuple(one for one in kept.levels if one.seq < before),
    )
    bottle = next((one.bottle for one in reversed(kept.movements) if isinstance(one, Pour)), None)
    takes = expected(state.with_(kept))
    if bottle is None or takes is None:
        return False
    from commission.stages.fill.judge.verdict import holds_too_much

    # as if it had been topped up to the mark instead
    dose = Dose(way=Way.LEVEL, volume_m3=gone.value, at_k=REFERENCE_K, u_reading_m3=gone.u, u_shared_m3=0.0)
    return holds_too_much((*kept.movements, Pour(bottle=bottle, dose=dose)), takes)


def headspace_report(stage: Stage, state: BuildState) -> HeadspaceReport | None:
    """Return what warming does to the closed loop; None where reservoir, level or coolant do not tell."""
    from commission.stages.fill.judge.headspace import HeadspaceCase, evaluate_headspace
    from commission.stages.fill.judge.liquid import liquid_in
    from commission.stages.fill.judge.mixture import fold_movements

    air = air_above(state)
    kept = state.of(FillState)
    states = fold_movements(kept.movements)
    coolant = kept.levels[-1].read.coolant if kept.levels else None
    if air is None or not states or coolant is None or states[-1].volume_m3 <= 0:
        return None
    weakest = weakest_part(state.parts)
    since = _since_the_level(kept)
    if since:
        as_read = fold_movements([one.movement for one in kept.moves if one not in since])
        risen_m3 = states[-1].volume_m3 - (as_read[-1].volume_m3 if as_read else 0.0)
        air = Uncertain(air.value - max(risen_m3, 0.0), air.u)
    case = HeadspaceCase(
        liquid_m3=states[-1].volume_m3,
        headspace_m3=air,
        liquid=liquid_in(states[-1].coolant),
        closed_k=coolant.si,
        hot_k=stage.limit("hot_k"),
        limit_gauge_pa=weakest.max_gauge_pa if weakest else None,
    )
    try:
        report = evaluate_headspace(case)
    except (InputError, ValueError):  # the coolant was changed since, and would be frozen at that temperature now
        return None
    return _of_an_old_level(report) if since else report


def _since_the_level(kept: FillState) -> list[Moved]:
    """Return what moved since the level was read; a bleed tops up to the mark and so leaves it as it was.

    What was spilled beside the filler never was in the loop.
    """
    since = (one for one in kept.moves if one.seq > kept.levels[-1].seq and one.stage != BLEED)
    return [one for one in since if not beside(one.movement)]


def _of_an_old_level(report: HeadspaceReport) -> HeadspaceReport:
    """Take the pass from a report that rests on a level read before coolant went in or out."""
    old = Phrase("level_is_old", "Coolant moved since the level was read: fill to the mark and read it again.")
    if report.outcome is Outcome.PASS:
        return replace(report, outcome=Outcome.INCONCLUSIVE, reasons=(old, *report.reasons[1:]))
    return replace(report, reasons=(*report.reasons[:1], old, *report.reasons[1:]))
