"""Brings a hold's readings, samples and plan together for the judge, and marks what only the log can know."""

from __future__ import annotations

import math
from array import array
from bisect import bisect_left
from typing import TYPE_CHECKING, NamedTuple

from commission.base.clock import elapsed_between
from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome
from commission.physics.detection import rectangular_uncertainty
from commission.record.asked import asked
from commission.record.entries import NoteAdded
from commission.record.machine.instrument import InstrumentKind
from commission.record.machine.loop import volume_from_parts
from commission.record.taken_back import with_spared
from commission.stages.pressure_hold.entries import Ending, HoldPlan
from commission.stages.pressure_hold.model import HoldSeries, HoldSetup, HoldVerdict
from commission.stages.pressure_hold.state.attempt import wet_at_start
from commission.stages.pressure_hold.state.found import found_during
from commission.stages.pressure_hold.state.rows_gone import counting_rows, rows_withdrawn
from commission.stages.pressure_hold.work.doubts import (
    with_coarser,
    with_fallen,
    with_findings,
    with_parts,
    with_planned_pressure,
    with_range,
    with_unread,
    with_volume,
    with_withdrawn,
    withdrawn_readings,
)
from commission.stages.pressure_hold.work.plan_rules import coarser_than_planned
from commission.stages.pressure_hold.work.rows_again import seen_before
from commission.stages.pressure_hold.work.times import remarks_on_time, untrue_time

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.procedure.model import Procedure
    from commission.record.fold import BuildState
    from commission.record.logged import SampleColumns
    from commission.record.record import Record
    from commission.stages.pressure_hold.state.attempt import HoldAttempt, TimedReading

STAGE = "pressure_hold"
TAKEN_AS_DRAINED = Phrase(
    "taken_as_drained",
    "By the record coolant was in the loop as the hold began; the hold takes it as drained. In a wet loop it proves "
    "nothing.",
)
TICK_S = 0.001
"""Time by which a second reading of one moment is put after the first [s]; our choice: the record counts in
milliseconds."""
_Row = tuple[float, float, float, float]
_Columns = tuple["array[float]", ...]


def setup_of(procedure: Procedure, plan: HoldPlan) -> HoldSetup:
    """Return what the judge must know beside the readings, from a plan and the procedure's limits.

    The accuracy of a gauge is the largest error that its maker states, so all errors within it are held equally likely
    (JCGM 100:2008, 4.3.7); a ± that was typed with a value is 95 % instead.
    """
    gauge = plan.gauge
    return HoldSetup(
        volume_m3=plan.volume_m3,
        u_volume_m3=plan.u_volume_m3,
        limit_pa_m3_s=plan.limit_pa_m3_s,
        gauge_step_pa=gauge.resolution,
        absolute=gauge.kind is InstrumentKind.ABSOLUTE_GAUGE,
        air_step_k=plan.thermometer.resolution if plan.thermometer else None,
        barometer_step_pa=plan.barometer.resolution if plan.barometer else None,
        gauge_gain_u=max(0.005, rectangular_uncertainty(gauge.accuracy / gauge.high)),
        room_swing_k=plan.room_swing_k,
        gas_lag_s=procedure.stage(STAGE).limit("gas_lag_s"),
        settle_s=plan.settle_s,
        step_stated=not gauge.step_guessed,
        needle_lags=gauge.needle_lags,
        division_pa=gauge.division,
    )


def series_of(samples: SampleColumns, hold: HoldAttempt) -> HoldSeries:
    """Return typed readings and streamed samples of a hold that count as one series in order of time."""
    samples = counting_rows(samples, hold)
    columns = (samples.elapsed_s, samples.pressure_pa, samples.air_k, samples.barometer_pa)
    if hold.readings:
        typed = [_row(timed) for timed in hold.readings]
        merged = tuple(array("d", column) for column in columns)
        for row in typed:
            if not math.isnan(row[1]):
                _insert(merged, row)
        for row in typed:
            if math.isnan(row[1]):
                _lend(merged, row)
        columns = merged  # type: ignore[assignment]
    elapsed_s, pressure_pa, air_k, barometer_pa = columns
    return HoldSeries(elapsed_s=elapsed_s, pressure_pa=pressure_pa, air_k=air_k, barometer_pa=barometer_pa)


def _insert(columns: _Columns, row: _Row) -> None:
    """Put a typed reading in its place in time; what stands at the same moment stays and counts too, just before it."""
    at, moment = bisect_left(columns[0], row[0]), row[0]
    while at < len(columns[0]) and columns[0][at] <= moment:
        at, moment = at + 1, columns[0][at] + TICK_S
    for column, value in zip(columns, (moment, *row[1:]), strict=True):
        column.insert(at, value)


def refuse_same_moment(book: Record, hold: HoldAttempt, observed_ms: int | None) -> None:
    """Refuse a second gauge reading of one moment: it would stand in the place of the first, which stays unwithdrawn.

    Raises
    ------
    NotAllowed
        If there is a gauge reading of that moment, typed or fed.
    """
    if hold.started is None or observed_ms is None:
        return
    at_s = (observed_ms - hold.started.mark.wall_ms) / 1000
    fed = counting_rows(book.log.samples(hold.series), hold).elapsed_s
    typed = (one.elapsed.elapsed_s for one in hold.readings if one.reading.pressure is not None)
    if at_s in typed or at_s in fed:
        raise NotAllowed(
            "a gauge reading of that minute stands already; if it is wrong, withdraw it first, with a reason"
        )


def _lend(columns: _Columns, row: _Row) -> None:
    """Give the air and the barometer of a line without a gauge reading to the nearest reading that has none."""
    times = columns[0]
    if not times:
        return
    after = bisect_left(times, row[0])
    near = min((at for at in (after - 1, after) if 0 <= at < len(times)), key=lambda at: abs(times[at] - row[0]))
    for column, value in zip(columns[2:], row[2:], strict=True):
        if math.isnan(column[near]):
            column[near] = value


def _row(timed: TimedReading) -> _Row:
    reading = timed.reading
    pressure, air, barometer = (
        math.nan if value is None else value.si for value in (reading.pressure, reading.air, reading.barometer)
    )
    return timed.elapsed.elapsed_s, pressure, air, barometer


def judge(
    book: Record, state: BuildState, hold: HoldAttempt, now_s: float, *, ending: Ending | None = None
) -> HoldVerdict:
    """Judge a hold from what the log holds of it.

    Parameters
    ----------
    book, state, hold
        The logbook, the build, and the attempt, which was started.
    now_s
        How long it has been going [s].
    ending
        How it ends; None while it runs.
    """
    from commission.stages.pressure_hold.judge.beyond import with_source
    from commission.stages.pressure_hold.judge.verdict import evaluate_pressure_hold

    plan = hold.plan
    assert plan is not None  # a started hold has one
    samples = book.log.samples(hold.series)
    series = series_of(samples, hold)
    end_s = hold.end_s or 0.0
    early = ending is None and hold.closed is None and now_s < end_s
    verdict = evaluate_pressure_hold(
        series,
        setup_of(book.procedure(state), plan),
        look=hold.looks,
        planned_s=end_s,
        running=early or ending in (Ending.GROSS_LEAK, Ending.BY_HAND, Ending.INTERRUPTED, Ending.ABANDONED),
    )
    verdict = with_planned_pressure(verdict, plan.target_gauge_pa)
    last_s = series.elapsed_s[-1] if len(series.elapsed_s) else 0.0
    withdrawn = (*withdrawn_readings(book, state, hold), *rows_withdrawn(samples, hold))
    verdict = with_withdrawn(verdict, withdrawn, last_s)
    verdict = with_fallen(verdict, withdrawn, series, plan.gauge.resolution)
    verdict = with_range(verdict, plan, max(series.pressure_pa, default=-math.inf))
    verdict = with_unread(verdict, hold.noted, last_s)
    verdict = _with_noted(book, state, hold, verdict, series.elapsed_s)
    if hold.closed is None:  # what was added or measured after its end makes it stale instead
        verdict = with_parts(verdict, plan, None if state.measured else volume_from_parts(state.tested_parts))
    verdict = with_source(verdict, hold.source, hold.left_out, asked=asked(book.program, hold.closed))
    if hold.closed is None:
        verdict = with_volume(verdict, plan, state.measured)
    if ending is not None:
        verdict = with_coarser(verdict, coarser_than_planned(plan, book.shop().instruments))
    verdict = with_findings(verdict, found_during(state.findings, hold))
    if wet_at_start(state, hold):
        verdict = verdict.telling(TAKEN_AS_DRAINED)
    verdict = _at_its_time(book, hold, verdict, samples.elapsed_s, _Ended(ending, now_s, end_s))
    verdict = _with_spared(book, state, hold, verdict)
    again = seen_before(book, state, hold, samples)
    if again is None:
        return verdict
    return verdict.undecided(again) if verdict.outcome is Outcome.PASS else verdict.telling(again)


def _with_noted(
    book: Record, state: BuildState, hold: HoldAttempt, verdict: HoldVerdict, read_s: Sequence[float]
) -> HoldVerdict:
    """Return a verdict with what notes say of it, between the readings [s] and above the rows of a file."""
    from commission.stages.pressure_hold.judge.beyond import with_between
    from commission.stages.pressure_hold.judge.file_head import with_head

    verdict = with_between(verdict, _notes(book, state, hold), read_s, source=hold.source)
    return with_head(verdict, (one.note for one in hold.noted if one.above), hold.source)


def _with_spared(book: Record, state: BuildState, hold: HoldAttempt, verdict: HoldVerdict) -> HoldVerdict:
    """Return a verdict that tells what had taken a pass and was withdrawn, and a procedure that ships nowhere."""
    spared = next((one.spared for one in state.runs.get(STAGE, ()) if one.attempt == hold.attempt), ())
    return replace(verdict, reasons=(*with_spared(verdict.reasons, spared), *book.past.of_own(state)))


class _Ended(NamedTuple):
    """How a hold ends, after how long and when it was planned to [s]."""

    ending: Ending | None
    now_s: float
    end_s: float


def _at_its_time(
    book: Record, hold: HoldAttempt, verdict: HoldVerdict, fed_s: Sequence[float], ended: _Ended
) -> HoldVerdict:
    """Return a verdict with what its clocks and its end say of it."""
    end = hold.closed.mark if hold.closed is not None else book.clock.now()
    untrue = untrue_time(hold, end, fed_s)
    if untrue is not None:
        return _with(verdict, Outcome.INVALID, untrue)
    verdict = _ended(verdict, *ended)
    return replace(verdict, reasons=(*verdict.reasons, *remarks_on_time(hold, end)))


def _notes(book: Record, state: BuildState, hold: HoldAttempt) -> list[tuple[float, str]]:
    """Return what was noted while it ran, with its readings, in rows of a table or by itself, and when [s]."""
    from commission.stages.pressure_hold.judge.note_words import bars

    assert hold.started is not None  # whoever asks has seen to it
    found = [(one.elapsed.elapsed_s, one.reading.note) for one in hold.readings if one.reading.note]
    found += [(one.elapsed_s, one.note) for one in hold.noted if one.note and not one.above]
    if hold.began_ms is None:  # what is noted while a file is taken over is not of the time of its hold
        begun, end = hold.started, hold.closed.seq if hold.closed is not None else math.inf
        for entry in book.entries(state.build_id):
            if not (begun.seq < entry.seq < end and isinstance(entry.payload, NoteAdded)):
                continue
            text, gone = entry.payload.text, entry.seq in state.withdrawn
            if not gone or bars(text):  # as a reading that is withdrawn, one that bars a pass is told
                withdrawn = " (withdrawn)" if gone else ""
                found.append((elapsed_between(begun.mark, entry.mark).elapsed_s, f"{text}{withdrawn}"))
    return sorted(found)


def _ended(verdict: HoldVerdict, ending: Ending | None, now_s: float, end_s: float) -> HoldVerdict:
    match ending:
        case Ending.INTERRUPTED | Ending.ABANDONED:
            return _with(verdict, Outcome.INVALID, Phrase("hold_broken_off", f"The hold was {ending}."))
        case Ending.BY_HAND if now_s < end_s and verdict.outcome is Outcome.INCONCLUSIVE:
            phrase = Phrase(
                "ended_early",
                "It was ended after {0} of the planned {1}. An early end rarely decides.",
                (Amount(Quantity.DURATION, now_s), Amount(Quantity.DURATION, end_s)),
            )
            return _with(verdict, Outcome.INCONCLUSIVE, phrase)
        case _:
            return verdict


def _with(verdict: HoldVerdict, outcome: Outcome, phrase: Phrase) -> HoldVerdict:
    return replace(verdict, outcome=outcome, reasons=(phrase, *verdict.reasons))
