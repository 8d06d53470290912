"""The coolant of a build as plain lines: what is in the loop, what the total proves, how the bleed stands, bottles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.procedure.stage_ids import BLEED, FILL
from commission.record.locks import pump_lock
from commission.shell.console import ascii_only
from commission.shell.moment import moment
from commission.shell.shown import shown
from commission.stages.bleed.entries import BleedClosed
from commission.stages.fill.entries import FillClosed
from commission.stages.fill.model.fill import Pour
from commission.stages.fill.rows.bottle import bottle_line

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.base.quantity import Phrase
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.stage_run import StageRun
    from commission.stages.bleed.model import BleedVerdict
    from commission.stages.fill.model.fill import FillVerdict, HeadspaceReport

REPEATED = ("plain_water", "mixture")
"""Reasons that only repeat lines of their own."""


def coolant_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield the facts of a build's coolant; nothing where none was ever moved and nothing was said of the pump."""
    yield from _pump_supply(state)
    if not state.moves and not any(state.runs.get(stage) for stage in (FILL, BLEED)):
        return
    yield from _fill(book.fill.verdict(state))
    yield from _ended(state, FILL)
    yield from _headspace(book.fill.headspace(state))
    if state.runs.get(BLEED):
        yield from _bleed(state, book.bleed.verdict(state))
        yield from _ended(state, BLEED)
    poured = {moved.movement.bottle.bottle_id for moved in state.moves if isinstance(moved.movement, Pour)}
    for bottle in book.shop().bottles:
        if bottle.bottle_id in poured:
            yield f"bottle: {bottle_line(book, bottle)}"


def _pump_supply(state: BuildState) -> Iterator[str]:
    if state.pump_supply is None:
        return
    locked = pump_lock(state)
    yield f"pump supply in fill and bleed: {state.pump_supply}, {state.pump_supply.told}"
    if locked is not None:
        yield f"pump in fill and bleed: locked. {locked.template}"


def _fill(verdict: FillVerdict) -> Iterator[str]:
    total, u = _volumes(verdict.filled_m3, verdict.u_filled_m3)
    at = shown(verdict.reference_k, Quantity.TEMPERATURE)
    amounts = "1 amount" if verdict.movements == 1 else f"{verdict.movements} amounts"
    yield f"fill total: {total}, standard uncertainty {u}, at {at}, {amounts}"
    if verdict.expected_m3 is None or verdict.missing is None:
        yield "fill expected: not known"
    else:
        expected, u = _volumes(verdict.expected_m3, verdict.u_expected_m3 or 0.0)
        yield f"fill expected: {expected}, standard uncertainty {u}, from: {verdict.basis}"
        missing, low, high = _volumes(verdict.missing.value, verdict.missing.lower95, verdict.missing.upper95)
        yield f"fill missing: {missing}, at least {low}, at most {high}"
        yield f"fill proves: {verdict.proof}"
    yield f"fill verdict so far: {verdict.outcome}"
    yield from _reasons("fill", verdict.reasons)
    coolant = verdict.coolant
    share = coolant.mass_fraction
    if coolant.base is None:
        yield "coolant: none in the loop"
        return
    told = f" {shown(share, Quantity.RATIO)} by mass" if share else ""
    yield f"coolant: {coolant.base}{told}{f'; no fraction can be stated: {coolant.why}' if coolant.why else ''}"
    yield f"freezing point: {shown(verdict.freezing_k, Quantity.TEMPERATURE)}"


def _headspace(report: HeadspaceReport | None) -> Iterator[str]:
    if report is not None:
        yield f"headspace: {report.outcome}"
        yield from _reasons("headspace", report.reasons)


def _bleed(state: BuildState, verdict: BleedVerdict) -> Iterator[str]:
    run = state.run(BLEED)
    if run.running:
        yield f"bleed: running, attempt {run.attempt}"
    yield f"bleed cycles: {verdict.cycles}, the last {verdict.kept} keep to the rule"
    yield f"bleed came out: {shown(verdict.came_out_m3, Quantity.VOLUME)}"
    tail = verdict.tail
    if tail.best_m3 is None or tail.low_m3 is None or tail.high_m3 is None:
        yield f"bleed still to come: {tail.state}"
    else:
        best, low, high = _volumes(tail.best_m3, tail.low_m3, tail.high_m3)
        yield f"bleed still to come: {best}, at least {low}, at most {high}"
    yield f"bleed verdict so far: {verdict.outcome}"
    yield from _reasons("bleed", verdict.reasons)


def _ended(state: BuildState, stage: str) -> Iterator[str]:
    for run in state.runs.get(stage, ()):
        yield from _closed(stage, run)


def _closed(stage: str, run: StageRun) -> Iterator[str]:
    if run.closed is None or not isinstance(run.closed.payload, FillClosed | BleedClosed):
        return
    stale = f"; STALE since entry {run.stale_by}" if run.stale_by is not None else ""
    when = moment(run.closed.mark.wall_ms, run.closed.mark.offset_min)
    yield f"{stage} {run.attempt}: {run.closed.payload.verdict.outcome}, closed {when}{stale}"


def _reasons(name: str, reasons: Sequence[Phrase]) -> Iterator[str]:
    from commission.units.show import say

    for reason in reasons:
        if reason.code not in REPEATED:
            yield f"{name} reason: {say(reason, ascii_only=ascii_only())}"


def _volumes(*si: float) -> tuple[str, ...]:
    return tuple(shown(one, Quantity.VOLUME) for one in si)
