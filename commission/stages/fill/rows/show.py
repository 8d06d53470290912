"""The coolant of a build as plain lines: what is in the loop, what the total proves, bottles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.attempts import ended_lines
from commission.procedure.stage_ids import FILL
from commission.record.locks import pump_lock
from commission.shell.shown import shown
from commission.shell.stage_lines import reason_lines, volumes
from commission.stages.fill.model.fill import Pour
from commission.stages.fill.rows.bottle import bottle_line
from commission.stages.fill.state import FillState
from commission.stages.fill.work.fills import Fills

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.fill.model.fill import FillVerdict, HeadspaceReport

REPEATED = ("plain_water", "mixture")
"""Reasons that only repeat lines of their own."""


def fill_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield the facts of a build's coolant; nothing where none was ever moved and nothing was said of the pump."""
    yield from _pump_supply(state)
    coolant = state.of(FillState)
    if not coolant.moves and not state.runs.get(FILL):
        return
    yield from _fill(book.work(Fills).verdict(state))
    yield from ended_lines(state, FILL)
    yield from _headspace(book.work(Fills).headspace(state))
    poured = {moved.bottle.bottle_id for moved in coolant.movements if isinstance(moved, Pour)}
    for bottle in book.work(Fills).bottles:
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
    total, u = volumes(verdict.filled_m3, verdict.u_filled_m3)
    at = shown(verdict.reference_k, Quantity.TEMPERATURE)
    amounts = "1 amount" if verdict.movements == 1 else f"{verdict.movements} amounts"
    yield f"fill total: {total}, standard uncertainty {u}, at {at}, {amounts}"
    if verdict.expected_m3 is None or verdict.missing is None:
        yield "fill expected: not known"
    else:
        expected, u = volumes(verdict.expected_m3, verdict.u_expected_m3 or 0.0)
        yield f"fill expected: {expected}, standard uncertainty {u}, from: {verdict.basis}"
        missing, low, high = volumes(verdict.missing.value, verdict.missing.lower95, verdict.missing.upper95)
        yield f"fill missing: {missing}, at least {low}, at most {high}"
        yield f"fill proves: {verdict.proof}"
    yield f"fill verdict so far: {verdict.outcome}"
    yield from reason_lines("fill", (one for one in verdict.reasons if one.code not in REPEATED))
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
        yield from reason_lines("headspace", report.reasons)
