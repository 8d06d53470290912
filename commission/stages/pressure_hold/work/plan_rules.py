"""What no plan of a hold may say: one place for screen and shell."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.base.verdict import Outcome
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.record.machine.instrument import InstrumentKind
from commission.record.machine.loop import volume_from_parts, weakest_part
from commission.record.machine.ratings import refuse_above_rating, refuse_unrated
from commission.stages.pressure_hold.judge.leak_class import WATERTIGHT_PA_M3_S
from commission.stages.pressure_hold.state.attempt import holds_of, wet_by_the_record
from commission.units.show import show

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.procedure.model import Limit, Stage
    from commission.record.fold import BuildState
    from commission.record.machine.instrument import Instrument
    from commission.stages.pressure_hold.entries import HoldPlan

SAME_VOLUME = 0.005
"""How far a volume may be off and still be the same [1]; our choice: figures that were rounded as they were shown."""

SMALLEST_SHARE = 0.5
"""A plan's volume below this share of the sum of the parts is a slip [1]; our choice: data sheets and typical values
are off by a third at most, and a volume that is too small makes every leak look small."""


def refuse_plan(state: BuildState, stage: Stage, plan: HoldPlan, planned_seq: int | None = None) -> None:
    """Refuse a plan that contradicts itself, the loop or the procedure.

    Parameters
    ----------
    state
        The build; without parts where there is none yet.
    stage
        The pressure hold as the build is judged by it.
    planned_seq
        Number of the entry that holds it; None where it is made now.

    Raises
    ------
    NotAllowed
        If a part has no rating, the pressure is above one, a figure lies outside its range, or the volume is far below
        that of the parts, below what was measured, or of a loop that was changed since; the message says what to do.
    """
    refuse_unrated(state.tested_parts)
    refuse_above_rating(state.tested_parts, plan.target_gauge_pa, "the test pressure", planned=True)
    _refuse_weaker_than_failed(state, plan)
    refuse_gauge(plan)
    if not (plan.hold_s > 0 and plan.limit_pa_m3_s > 0 and plan.volume_m3 > 0 and plan.target_gauge_pa > 0):
        raise NotAllowed("limit, time, volume and test pressure must all be above 0")
    refuse_loose(stage, plan.limit_pa_m3_s)
    _refuse_range(stage, "leak_rate_pa_m3_s", plan.limit_pa_m3_s, "the limit", Quantity.LEAK_RATE, "mbar*L/s")
    _refuse_range(stage, "target_gauge_pa", plan.target_gauge_pa, "the test pressure", Quantity.GAUGE_PRESSURE, "mbar")
    _refuse_range(stage, "settle_min_s", plan.settle_s or 0.0, "the time to settle", Quantity.DURATION, "min")
    refuse_swing(stage, plan)
    _refuse_below_measured(state, plan)
    parts = volume_from_parts(state.tested_parts)
    if parts is not None and plan.volume_m3 < SMALLEST_SHARE * parts.volume_m3:
        raise NotAllowed(
            f"the plan says {_litres(plan.volume_m3)}, but the parts add up to "
            f"{_litres(parts.volume_m3)}. Correct the wrong one"
        )
    loop = state.tested_volume
    if planned_seq is None or loop is None or state.loop_seq < planned_seq:
        return
    if abs(plan.volume_m3 - loop.volume_m3) > SAME_VOLUME * loop.volume_m3:
        raise NotAllowed(
            f"the loop was changed after the plan, which counts with {_litres(plan.volume_m3)}; it has "
            f"{_litres(loop.volume_m3)} now: plan again"
        )


MOST_ERROR = 0.5
"""Largest error that a gauge may state, as a share of the test pressure [1]; our choice: what may be off by more does
not show that the loop was under pressure, and a plain dial of 1 bar (class 2.5) is off by 5 % at 500 mbar."""


def gauge_too_coarse(plan: HoldPlan) -> bool:
    """Return whether the gauge may be off by so much that it does not show the test pressure."""
    return plan.gauge.accuracy > MOST_ERROR * plan.target_gauge_pa


def refuse_gauge(plan: HoldPlan) -> None:
    """Refuse a gauge that cannot show the test pressure, for its range or for its error.

    Raises
    ------
    NotAllowed
        If it cannot.
    """
    gauge = plan.gauge
    room_pa = STANDARD_ATMOSPHERE_PA if gauge.kind is InstrumentKind.ABSOLUTE_GAUGE else 0.0
    asked = show(plan.target_gauge_pa, Quantity.GAUGE_PRESSURE, own="mbar")
    if plan.target_gauge_pa > gauge.high - room_pa:
        most = show(gauge.high - room_pa, Quantity.GAUGE_PRESSURE, own="mbar")
        raise NotAllowed(f'"{gauge.name}" shows at most {most} over the room, and the plan wants {asked}: take another')
    if gauge_too_coarse(plan):
        error = show(gauge.accuracy, Quantity.PRESSURE_DIFFERENCE, own="mbar")
        raise NotAllowed(f'"{gauge.name}" may be off by {error}, more than half of {asked}: take a finer one')


LEAST_RETEST = 0.9
"""Share of the pressure that a retest needs of the hold that failed [1]; our choice: what one pumping differs by from
the next. Flow through a hole goes with the difference of the squared absolute pressures."""


def _refuse_weaker_than_failed(state: BuildState, plan: HoldPlan) -> None:
    """Refuse a retest at less pressure than that of the hold that failed, as far as the ratings allow that."""
    said = [one for one in holds_of(state) if one.outcome in (Outcome.PASS, Outcome.FAIL)]
    if not said or said[-1].outcome is not Outcome.FAIL or said[-1].plan is None:
        return
    weakest = weakest_part(state.tested_parts)
    rated = weakest.max_gauge_pa if weakest is not None and weakest.max_gauge_pa is not None else math.inf
    least = LEAST_RETEST * min(said[-1].plan.target_gauge_pa, rated)
    if plan.target_gauge_pa < least * (1 - 1e-9):
        figures = (plan.target_gauge_pa, said[-1].plan.target_gauge_pa, least)
        asked, failed, wanted = (show(pa, Quantity.GAUGE_PRESSURE, own="mbar") for pa in figures)
        raise NotAllowed(
            f"the hold that failed stood at {failed}, and {asked} drives less through the same hole. Plan {wanted} or "
            "more"
        )


def _litres(m3: float) -> str:
    return show(m3, Quantity.VOLUME, own="L", digits=3)


def refuse_wet(state: BuildState, *, drained: bool) -> None:
    """Refuse a hold on air over a loop that holds coolant by the record, unless it was said to be drained and dried.

    Raises
    ------
    NotAllowed
        If coolant was moved since the last hold on air and nobody said that it is out.
    """
    if drained or not wet_by_the_record(state):
        return
    raise NotAllowed(
        "by the log coolant is in the loop, and it hides a leak from a hold on air. "
        "Drain it, and say where to (commission amount --drain --into); dry it, then say --drained. "
        "The fill begins again"
    )


def _refuse_below_measured(state: BuildState, plan: HoldPlan) -> None:
    """Refuse a volume that does not allow for the one measured on air: each leak would look as much smaller."""
    measured = state.measured
    if measured is not None and measured.volume_m3 > plan.volume.most_m3:
        raise NotAllowed(
            f"the plan counts at most {1e6 * plan.volume.most_m3:.0f} mL, but {1e6 * measured.volume_m3:.0f} mL were "
            "measured on air; take that volume, or measure again"
        )


def as_described(plan: HoldPlan, instruments: Iterable[Instrument]) -> HoldPlan:
    """Return a plan with each instrument as it is described by now; one that is out of use stays as it was planned."""
    now = {one.instrument_id: one for one in instruments}
    air, room = plan.thermometer, plan.barometer
    return replace(
        plan,
        gauge=now.get(plan.gauge.instrument_id, plan.gauge),
        thermometer=None if air is None else now.get(air.instrument_id, air),
        barometer=None if room is None else now.get(room.instrument_id, room),
    )


def refuse_outdated(plan: HoldPlan, instruments: Iterable[Instrument]) -> None:
    """Refuse a plan that counts with an instrument as it was described before it was found worse.

    Raises
    ------
    NotAllowed
        If a step or an error that its maker states is larger by now than in the plan, or the gauge does not reach the
        test pressure.
    """
    known = tuple(instruments)
    name = coarser_than_planned(plan, known)
    if name:
        now = as_described(plan, known)
        words = (("thermometer", now.thermometer), ("barometer", now.barometer))
        word = next((word for word, one in words if one is not None and one.name == name), "gauge")
        raise NotAllowed(
            f'"{name}" was described again since the plan, with a coarser step or a larger error. Plan again '
            f"by the line: {word} {name}"
        )
    refuse_gauge(as_described(plan, known))


def coarser_than_planned(plan: HoldPlan, instruments: Iterable[Instrument]) -> str:
    """Return the name of an instrument that is described as coarser by now than a plan counts; empty where none is."""
    now = {one.instrument_id: one for one in instruments}
    for planned in (plan.gauge, plan.thermometer, plan.barometer):
        known = None if planned is None else now.get(planned.instrument_id)
        if planned is None or known is None:
            continue
        if known.resolution > planned.resolution * (1 + 1e-9) or known.accuracy > planned.accuracy * (1 + 1e-9):
            return known.name
    return ""


def with_known_range(plan: HoldPlan, instruments: Iterable[Instrument]) -> HoldPlan:
    """Return a plan made from readings with the range of the gauge of the workshop, where it has but one of the kind.

    Readings do not show where their gauge ends. What lies above that range was read with another one.
    """
    alike = [one for one in instruments if one.kind is plan.gauge.kind]
    if len(alike) != 1:
        return plan
    known = alike[0]
    room_pa = STANDARD_ATMOSPHERE_PA if known.kind is InstrumentKind.ABSOLUTE_GAUGE else 0.0
    if plan.target_gauge_pa + room_pa > known.high + known.resolution:
        return plan
    return replace(plan, gauge=replace(plan.gauge, low=known.low, high=known.high))


def refuse_swing(stage: Stage, plan: HoldPlan) -> None:
    """Refuse a swing of the room that none has, where no thermometer was read and it is all there is.

    Raises
    ------
    NotAllowed
        If it lies outside the range of the procedure.
    """
    if plan.thermometer is None:
        _refuse_range(
            stage, "room_swing_k", plan.room_swing_k, "the room's swing", Quantity.TEMPERATURE_DIFFERENCE, "K"
        )


def refuse_loose(stage: Stage, limit_pa_m3_s: float) -> None:
    """Refuse a limit that is looser than watertight, where the procedure sets none looser.

    A build keeps the procedure that it was opened with: an older one may set a looser limit.

    Raises
    ------
    NotAllowed
        If the limit is looser than watertight and than the procedure sets.
    """
    span = _span(stage, "leak_rate_pa_m3_s")
    most = WATERTIGHT_PA_M3_S if span is None else max(WATERTIGHT_PA_M3_S, span.high)
    if limit_pa_m3_s > most * (1 + 1e-9):
        raise NotAllowed(
            f"the limit {limit_pa_m3_s / 0.1:.3g} mbar*L/s is looser than watertight, which "
            f"lets water out. Take at most {most / 0.1:.3g} mbar*L/s; check number and unit"
        )


def _span(stage: Stage, name: str) -> Limit | None:
    """Return a limit with its bounds; None in a build under a procedure that sets none."""
    return next((limit for limit in stage.limits if limit.id == name), None)


def _refuse_range(stage: Stage, name: str, si: float, what: str, quantity: Quantity, own: str) -> None:
    span = _span(stage, name)
    if span is None:
        return
    slack = 1e-9 * span.high  # the last digit of a converted unit is the conversion's
    if not span.low - slack <= si <= span.high + slack:
        said, low, high = (show(one, quantity, own=own, digits=3) for one in (si, span.low, span.high))
        raise NotAllowed(f"{what} {said} lies outside {low.partition(' ')[0]} to {high}; check the number and its unit")
