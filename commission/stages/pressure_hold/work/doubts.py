"""What the log knows against a pass: withdrawn readings, another pressure, a fault found, readings of another hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced, clip, counted
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.entries import ReadingTaken
from commission.stages.pressure_hold.state.attempt import timed
from commission.stages.pressure_hold.work.plan_rules import gauge_too_coarse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.record.build_state import Finding
    from commission.record.fold import BuildState
    from commission.record.machine.loop import LoopVolume
    from commission.record.record import Record
    from commission.stages.pressure_hold.entries import HoldPlan, RowNoted
    from commission.stages.pressure_hold.model import HoldSeries, HoldVerdict
    from commission.stages.pressure_hold.state.attempt import HoldAttempt, TimedReading

LEAST_START_SHARE = 0.6
"""Share of the planned pressure that a pass must begin with [1]; our choice: pumping heats the gas, and up to 40 % of
the gauge pressure go again as it cools (energy balance of filling, (γ − 1)/γ = 28.6 %, and a margin)."""
TOLD_WITHDRAWN = 3
"""So many withdrawn readings are told with their values [1]; our choice: more are not read at a bench."""
FALLEN = 2
"""From so many withdrawn readings below the others on they are no slips [1]; our choice: one is mistyped at times."""
FALLEN_STEPS = 3.0
"""Below the others is what lies further below than this many steps [1]; our choice: a display flickers by one."""
SLIP_SHARE = 0.5
"""A withdrawn reading below this share of the others is a slip of a digit [1]; our choice: a loop that leaks so fast
shows it in the readings that stand."""
RETYPED_S = 60.0
"""A reading typed again may count from this much before the one that was withdrawn [s]; our choice: it is typed with
the time of day, which is cut to minutes."""


def withdrawn_readings(book: Record, state: BuildState, hold: HoldAttempt) -> tuple[TimedReading, ...]:
    """Return the gauge readings of a started hold that were withdrawn, in the order of the log."""
    if not state.withdrawn or hold.started is None:
        return ()
    return tuple(
        timed(hold.started, entry, entry.payload)
        for entry in book.entries(state.build_id)
        if entry.seq in state.withdrawn
        and isinstance(entry.payload, ReadingTaken)
        and entry.payload.attempt == hold.attempt
        and entry.payload.pressure is not None
    )


def with_withdrawn(verdict: HoldVerdict, withdrawn: Sequence[TimedReading], last_s: float) -> HoldVerdict:
    """Return a verdict that tells which readings were withdrawn; without one after them it is no pass.

    Parameters
    ----------
    withdrawn
        The gauge readings that do not count any more.
    last_s
        When the last gauge reading that counts was taken [s after the start].
    """
    if not withdrawn:
        return verdict
    shown = sorted(withdrawn, key=lambda one: one.elapsed.elapsed_s)[-TOLD_WITHDRAWN:]
    amounts: list[Amount] = []
    places = []
    for one in shown:
        assert one.reading.pressure is not None  # only gauge readings come here
        places.append(f"{{{len(amounts)}}} at {{{len(amounts) + 1}}}")
        amounts += [
            Amount(one.reading.pressure.quantity, one.reading.pressure.si),
            Amount(Quantity.DURATION, max(0.0, one.elapsed.elapsed_s)),
        ]
    more = f", and {len(withdrawn) - len(shown)} before" if len(withdrawn) > len(shown) else ""
    told = Phrase("readings_withdrawn", f"Withdrawn, not counted: {', '.join(places)}{more}.", tuple(amounts))
    reasons = (*verdict.reasons[:1], told, *verdict.reasons[1:])
    open_end = max(one.elapsed.elapsed_s for one in withdrawn) - RETYPED_S > last_s
    most = len(withdrawn) >= verdict.readings
    if verdict.outcome is not Outcome.PASS or not (open_end or most):
        return replace(verdict, reasons=reasons)
    again = Phrase(
        "last_reading_withdrawn", "The last reading was withdrawn and none stands in its place: read the gauge again."
    )
    if not open_end:
        again = Phrase("most_withdrawn", "As many readings were withdrawn as count: hold again, and read with care.")
    return verdict.undecided(again, told)


def with_fallen(
    verdict: HoldVerdict, withdrawn: Sequence[TimedReading], series: HoldSeries, step_pa: float
) -> HoldVerdict:
    """Return a verdict that is no pass where the withdrawn readings lie below those that count, as those of a leak do.

    A single one is a slip, and so is one with a digit too few.

    Parameters
    ----------
    withdrawn
        The gauge readings that do not count any more.
    step_pa
        One step of the gauge [Pa].
    """
    if verdict.outcome is not Outcome.PASS or len(withdrawn) < FALLEN:
        return verdict
    counting = list(zip(series.elapsed_s, series.pressure_pa, strict=True))
    fallen = 0
    for one in withdrawn:
        assert one.reading.pressure is not None  # only gauge readings come here
        at_s = one.elapsed.elapsed_s
        beside = min(counting, key=lambda pair: abs(pair[0] - at_s))[1]
        fallen += beside * SLIP_SHARE < one.reading.pressure.si < beside - FALLEN_STEPS * step_pa
    if fallen < FALLEN:
        return verdict
    said = f"{fallen} withdrawn readings lie below those that count, as a leak makes them: hold again, read with care."
    low = Phrase("withdrawn_below", said)
    return verdict.undecided(low)


def with_unread(verdict: HoldVerdict, noted: Sequence[RowNoted], last_s: float) -> HoldVerdict:
    """Return a verdict that is no pass where rows behind the last reading could not be read.

    Parameters
    ----------
    noted
        What the fed tables said beside their readings.
    last_s
        When the last gauge reading was taken [s after the start]: one that comes later tells how the gauge stood.
    """
    rows = sum(one.unread for one in noted if one.elapsed_s >= last_s)
    if verdict.outcome is not Outcome.PASS or not rows:
        return verdict
    said = (
        f"{counted(rows, 'row')} behind the last reading could not be read, so what the gauge did then is not known. "
        "Read the gauge once more, or hold again."
    )
    return verdict.undecided(Phrase("rows_unread_last", said))


def with_coarser(verdict: HoldVerdict, name: str) -> HoldVerdict:
    """Return a verdict that is no pass where an instrument, of that name, was found coarser than the plan counts."""
    if verdict.outcome is not Outcome.PASS or not name:
        return verdict
    found = Phrase(
        "instrument_coarser_than_planned",
        f"{braced(clip(name))} was described again while it was held, with a coarser step or a larger error than the "
        "plan counts: plan and hold again.",
    )
    return verdict.undecided(found)


GAUGE_TOO_COARSE = Phrase(
    "gauge_too_coarse", "The gauge may be off by more than half of the test pressure: it does not show that any was on."
)


def with_range(verdict: HoldVerdict, plan: HoldPlan, highest: float) -> HoldVerdict:
    """Return a verdict that is no pass where the gauge stood at the end of its range, or may be off by too much.

    Parameters
    ----------
    highest
        The highest reading, in the gauge's own kind of pressure [Pa].
    """
    gauge = plan.gauge
    if verdict.outcome is Outcome.PASS and gauge_too_coarse(plan):
        return verdict.undecided(GAUGE_TOO_COARSE)
    if verdict.outcome is not Outcome.PASS or not highest >= gauge.high - gauge.resolution / 2:
        return verdict
    full = Phrase(
        "gauge_at_its_end",
        "The gauge stood at the end of its range, {0}: more than that it does not show. Let some pressure out, or take "
        "another gauge, and hold again.",
        (Amount(Quantity.GAUGE_PRESSURE, gauge.high),),
    )
    return verdict.undecided(full)


def with_planned_pressure(verdict: HoldVerdict, planned_pa: float) -> HoldVerdict:
    """Return a verdict that is no pass where the hold began far below its planned pressure; far above it is told.

    Parameters
    ----------
    planned_pa
        The planned test pressure [Pa gauge].
    """
    start = verdict.start_gauge_pa
    if verdict.outcome is not Outcome.PASS or start is None:
        return verdict
    if start * LEAST_START_SHARE > planned_pa:
        amounts = (Amount(Quantity.GAUGE_PRESSURE, planned_pa), Amount(Quantity.GAUGE_PRESSURE, start))
        said = "It was planned at {0} and began at {1}: check the column, its unit and the gauge."
        return verdict.telling(Phrase("far_above_plan", said, amounts))
    if start >= LEAST_START_SHARE * planned_pa:
        return verdict
    low = Phrase(
        "far_below_plan",
        "It was planned at {0} and began at {1}: less pressure drives less through the same hole. Pump up and hold "
        "again, or plan that pressure.",
        (Amount(Quantity.GAUGE_PRESSURE, planned_pa), Amount(Quantity.GAUGE_PRESSURE, start)),
    )
    return verdict.undecided(low)


def with_findings(verdict: HoldVerdict, found: Sequence[Finding]) -> HoldVerdict:
    """Return a verdict that is no pass where a fault of the loop was found or put right while the hold ran.

    Parameters
    ----------
    found
        The faults, in order.
    """
    if verdict.outcome is not Outcome.PASS or not found:
        return verdict
    said = braced(f"{found[0].raised.where}, {found[0].raised.note}")
    more = f" (and {len(found) - 1} more)" if len(found) > 1 else ""
    told = Phrase(
        "fault_found", (f"Found or repaired while the hold ran: {said}{more}. Say what was done, then hold again.")
    )
    return verdict.undecided(told)


def with_parts(verdict: HoldVerdict, plan: HoldPlan, parts: LoopVolume | None) -> HoldVerdict:
    """Return a verdict that tells where the parts are larger than the plan allows for; a pass must hold by them too.

    Parameters
    ----------
    verdict
        What the readings prove by the plan's volume.
    parts
        The sum of the parts that were tested; None where there is none, or where the loop was measured on air.
    """
    found = verdict.leak_rate
    if verdict.outcome is not Outcome.PASS or found is None or parts is None:
        return verdict
    if parts.volume_m3 <= plan.volume.most_m3:
        return verdict
    told = Phrase(
        "parts_add_up_to_more",
        "The parts add up to {0}, the plan counts {1}. Correct the one that is wrong, or measure the loop on air.",
        (Amount(Quantity.VOLUME, parts.volume_m3), Amount(Quantity.VOLUME, plan.volume_m3)),
    )
    # a leak rate is in proportion to the volume
    if found.at_most * parts.most_m3 / plan.volume.most_m3 <= verdict.limit_pa_m3_s:
        return verdict.telling(told)
    return verdict.undecided(told)


def with_volume(verdict: HoldVerdict, plan: HoldPlan, measured: LoopVolume | None) -> HoldVerdict:
    """Return a verdict that is no pass where the loop was measured larger than the plan allows for.

    Parameters
    ----------
    verdict
        What the readings prove by the plan's volume.
    measured
        The volume as last measured on air; None where it was not.
    """
    if verdict.outcome is not Outcome.PASS or measured is None or measured.volume_m3 <= plan.volume.most_m3:
        return verdict
    told = Phrase(
        "volume_larger_than_planned",
        "Measured on air: {0}; the plan counts {1}. Hold again with the measured volume.",
        (Amount(Quantity.VOLUME, measured.volume_m3), Amount(Quantity.VOLUME, plan.volume_m3)),
    )
    return verdict.undecided(told)
