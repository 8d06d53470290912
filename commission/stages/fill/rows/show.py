"""The coolant of a build as plain lines: what is in the loop, what the total proves, bottles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.attempts import ended_lines
from commission.bench.figures import millilitres
from commission.bench.moment import moment
from commission.procedure.stage_ids import FILL
from commission.record.done_at import done_ms
from commission.record.locks import pump_lock
from commission.stages.fill.entries import CoolantDrained, FillClosed
from commission.stages.fill.model.fill import LAST_FILL, Pour
from commission.stages.fill.rows.bottle import bottle_row
from commission.stages.fill.rows.figures import air_row, figures_of, headspace_reasons, reasons_of
from commission.stages.fill.state import FillState
from commission.stages.fill.work.fills import Fills
from commission.stages.fill.work.judged import air_above

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.card import Fact
    from commission.physics.loop_volume import Uncertain
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.fill.model.fill import FillVerdict, HeadspaceReport


def fill_lines(book: Logbook, state: BuildState) -> Iterator[Fact]:
    """Yield the facts of a build's coolant; nothing where none was ever moved and nothing was said of the pump."""
    yield from _pump_supply(state)
    yield from _drained(book, state)
    coolant = state.of(FillState)
    if not coolant.moves and not state.runs.get(FILL):
        return
    verdict, headspace = book.work(Fills).verdict(state), book.work(Fills).headspace(state)
    hot_k = book.work(Fills).stage(state).limit("hot_k")
    yield from _fill(verdict, headspace, hot_k, air_above(state))
    yield from ended_lines(
        state, FILL, FillClosed, lambda one: (figures_of(one.verdict, None, hot_k), reasons_of(one.verdict))
    )
    yield from _headspace(headspace)
    poured = {moved.bottle.bottle_id for moved in coolant.movements if isinstance(moved, Pour)}
    for bottle in book.work(Fills).bottles:
        if bottle.bottle_id in poured:
            yield bottle_row(book, bottle).of("bottle")


def _pump_supply(state: BuildState) -> Iterator[str]:
    if state.pump_supply is None:
        return
    locked = pump_lock(state)
    yield f"pump supply in fill and bleed: {state.pump_supply}, {state.pump_supply.told}"
    if locked is not None:
        yield f"pump in fill and bleed: locked. {locked.template}"


def _drained(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield what was let out and what became of it, also of a loop that was held on air since."""
    for entry in book.entries(state.build_id):
        if isinstance(entry.payload, CoolantDrained) and entry.seq not in state.withdrawn:
            drain = entry.payload.drain
            when = moment(done_ms(entry), entry.mark.offset_min)
            where = f"into {drain.into}" if drain.into else "not said where to"
            note = f"; {drain.note}" if drain.note else ""
            yield f"coolant drained: {millilitres(drain.dose.volume_m3)}, {where}, {when}{note}"


def _fill(
    verdict: FillVerdict, headspace: HeadspaceReport | None, hot_k: float, air: Uncertain | None
) -> Iterator[Fact]:
    for figure in figures_of(verdict, headspace, hot_k):
        yield figure.of("fill")
    if air is not None and verdict.expected_m3 is not None and verdict.basis != LAST_FILL:
        yield air_row(air).of("fill")
    if verdict.expected_m3 is None:
        yield "fill expected: not known"
    if verdict.missing is not None:
        yield f"fill proves: {verdict.proof}"
    if verdict.coolant.base is None:
        yield "fill coolant: none in the loop"
    yield f"fill verdict so far: {verdict.outcome}"
    for reason in reasons_of(verdict):
        yield f"fill reason: {reason}"


def _headspace(report: HeadspaceReport | None) -> Iterator[str]:
    if report is not None:
        yield f"headspace: {report.outcome}"
        for reason in headspace_reasons(report):
            yield f"headspace reason: {reason}"
