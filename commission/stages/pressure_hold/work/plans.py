"""What a planned hold can decide, and how long it must be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.record.machine.loop import LoopVolume
from commission.record.machine.volume_known import VolumeKnown, u_of_volume
from commission.stages.pressure_hold.judge.leak_class import CLASSES, class_of
from commission.stages.pressure_hold.state.attempt import hold_of, judged_hold
from commission.stages.pressure_hold.work.judged import STAGE, setup_of
from commission.stages.pressure_hold.work.plan_rules import refuse_plan

if TYPE_CHECKING:
    from commission.procedure.model import Procedure, Stage
    from commission.record.build_state import BuildState, ShopState
    from commission.stages.pressure_hold.entries import HoldPlan
    from commission.stages.pressure_hold.model import Capability

REASONABLE_S = 3600.0
"""A stricter limit is proposed where it is decided within this [s]; our choice: an hour beside other work."""
TIME_STEP_S = 300.0
"""A planned time is rounded up to whole steps of this [s]; our choice: nobody watches a clock closer than 5 min."""


def deciding_plan(procedure: Procedure, plan: HoldPlan) -> HoldPlan:
    """Return the plan with the time that will decide for its gauge, volume and limit.

    It is rounded up to whole steps of 5 min and kept within the bounds of the procedure; where no time would decide,
    the time stays.
    """
    needed = capability(procedure, plan).hold_needed_s
    if needed is None:
        return plan
    span = procedure.stage(STAGE).bounds("hold_s")
    return replace(plan, hold_s=min(span.high, max(span.low, -(-needed // TIME_STEP_S) * TIME_STEP_S)))


def proposed_plan(procedure: Procedure, plan: HoldPlan, *, timed: bool = False) -> HoldPlan:
    """Return the plan with the strictest limit with a name that the set-up decides in reasonable time, and that time.

    ``timed`` keeps the time of the plan, and takes only a limit that it decides. A procedure with a limit of its own
    keeps that.
    """
    usual = procedure.stage(STAGE).limit("leak_rate_pa_m3_s")
    plan = replace(plan, limit_pa_m3_s=usual)
    longest = min(plan.hold_s, REASONABLE_S) if timed else REASONABLE_S
    for one in sorted(CLASSES, key=lambda one: one.limit_pa_m3_s) if class_of(usual) else ():
        strict = replace(plan, limit_pa_m3_s=one.limit_pa_m3_s)
        needed = capability(procedure, strict).hold_needed_s
        if one.limit_pa_m3_s < usual and needed is not None and needed <= longest:
            plan = strict
            break
    return plan if timed else deciding_plan(procedure, plan)


def shorter_ways(procedure: Procedure, plan: HoldPlan) -> tuple[tuple[str, float], ...]:
    """Return what would shorten a hold, each with the time after which it finds the limit [s], the shortest first."""
    from commission.stages.pressure_hold.judge.shorter import shorter_holds

    return shorter_holds(
        setup_of(procedure, plan), start_gauge_pa=plan.target_gauge_pa, every_s=min(plan.every_s, plan.hold_s)
    )


def capability(procedure: Procedure, plan: HoldPlan) -> Capability:
    """Return what a plan can decide, before it is started."""
    from commission.stages.pressure_hold.judge.capability import hold_capability

    return hold_capability(
        setup_of(procedure, plan),
        start_gauge_pa=plan.target_gauge_pa,
        hold_s=plan.hold_s,
        every_s=min(plan.every_s, plan.hold_s),
    )


def blind_before(procedure: Procedure, plan: HoldPlan) -> float | None:
    """Return how long before the end of a planned hold a leak of three times the limit may start unseen [s]."""
    from commission.stages.pressure_hold.judge.allowance import blind_time

    every_s = min(plan.every_s, plan.hold_s)
    return blind_time(
        setup_of(procedure, plan), start_gauge_pa=plan.target_gauge_pa, hold_s=plan.hold_s, every_s=every_s
    )


def plan_like(before: BuildState, now: BuildState, stage: Stage, shop: ShopState) -> HoldPlan | None:
    """Return the last plan of another build for the loop of this one; None where that has none, or it does not fit.

    The volume is that of this loop's parts. Where it has none the other's counts as guessed: it was another loop's. The
    instruments are as they are described by now; without a gauge in use there is no plan.
    """
    judged, loop = judged_hold(before), now.tested_volume
    last = hold_of(before).plan or (judged.plan if judged else None)
    if last is None or hold_of(now).plan is not None:
        return None
    if loop is None:
        u = u_of_volume(last.volume_m3, VolumeKnown.GUESSED)
        loop = LoopVolume(volume_m3=last.volume_m3, u_volume_m3=u, basis=VolumeKnown.GUESSED)
    in_use = {one.instrument_id: one for one in shop.instruments}
    gauge = in_use.get(last.gauge.instrument_id)
    if gauge is None:
        return None
    plan = replace(
        last,
        gauge=gauge,
        thermometer=in_use.get(last.thermometer.instrument_id) if last.thermometer else None,
        barometer=in_use.get(last.barometer.instrument_id) if last.barometer else None,
        volume_m3=loop.volume_m3,
        u_volume_m3=loop.u_volume_m3,
        volume_basis=loop.basis,
    )
    try:
        refuse_plan(now, stage, plan)
    except NotAllowed:
        return None  # a part without a rating, say: then it is asked for first, and the plan is made again
    return plan
