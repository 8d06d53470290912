"""The holds of a build as plain lines: plan, readings, verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.attempts import closed_text
from commission.bench.figures import duration
from commission.bench.moment import moment
from commission.stages.pressure_hold.entries import Rig
from commission.stages.pressure_hold.rows.plan import plan_line
from commission.stages.pressure_hold.rows.search import search_rows
from commission.stages.pressure_hold.rows.verdict import figures_of, reasons_of, usual_units
from commission.stages.pressure_hold.state.attempt import holds_of
from commission.stages.pressure_hold.work.holds import Holds

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.card import Fact
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.pressure_hold.entries import HoldPlan
    from commission.stages.pressure_hold.model import HoldVerdict
    from commission.stages.pressure_hold.state.attempt import HoldAttempt


def hold_lines(book: Logbook, state: BuildState) -> Iterator[Fact]:
    """Yield the facts of each attempt at the hold."""
    for hold in holds_of(state):
        yield from _hold(book, state, hold)


def _hold(book: Logbook, state: BuildState, hold: HoldAttempt) -> Iterator[Fact]:
    if hold.started is not None and hold.plan is not None:
        yield f"hold {hold.attempt} plan: {plan_line(hold.plan)}"
        if hold.rig is not Rig.VALVED:
            yield f"hold {hold.attempt} rig: {hold.rig}"
        yield f"hold {hold.attempt} source: {hold.source or 'not said'}"
    if hold.started is not None and hold.began_ms is not None:
        began = moment(hold.began_ms, hold.started.mark.offset_min)
        yield f"hold {hold.attempt} began: {began}"
    closed = hold.verdict_entry
    if closed is not None and hold.closed is not None:
        yield f"hold {hold.attempt}: {closed.verdict.outcome}, {closed.ending}{closed_text(hold)}"
        yield from _verdict(f"hold {hold.attempt}", closed.verdict, hold.plan)
        if hold.search is not None:
            yield from (row.of(f"hold {hold.attempt} search") for row in search_rows(hold.search))
        return
    if hold.started is None:
        yield f"hold {hold.attempt}: in preparation"
        return
    samples = len(book.log.samples(hold.series).elapsed_s)
    gone = f", {len(hold.rows_gone)} of them withdrawn" if hold.rows_gone else ""
    since, planned = duration(book.work(Holds).elapsed_s(state)), duration(hold.end_s or 0.0)
    yield f"hold {hold.attempt}: running for {since} of the planned {planned}"
    yield f"hold {hold.attempt} readings: {len(hold.readings)} typed, {samples} fed{gone}"
    last = book.log.last_sample(hold.series)
    if last is not None:
        yield f"hold {hold.attempt} last fed: {last.typed}{' (withdrawn)' if samples in hold.rows_gone else ''}"
    verdict = book.work(Holds).verdict(state)
    if verdict is not None:
        yield f"hold {hold.attempt} verdict so far: {verdict.outcome}"
        yield from _verdict(f"hold {hold.attempt}", verdict, hold.plan)


def _verdict(name: str, verdict: HoldVerdict, plan: HoldPlan | None) -> Iterator[Fact]:
    if plan is not None:
        for figure in figures_of(verdict, plan.gauge):
            yield figure.of(name)
    for reason in reasons_of(verdict, usual_units(plan)):
        yield f"{name} reason: {reason}"
