"""The bleed of a build as plain lines: cycles, what came out, what is still to come, attempts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.procedure.stage_ids import BLEED
from commission.shell.shown import shown
from commission.shell.stage_lines import ended_lines, reason_lines, volumes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


def bleed_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield the facts of a bleed; nothing where none was begun or prepared."""
    if not state.runs.get(BLEED):
        return
    run, verdict = state.run(BLEED), book.bleed.verdict(state)
    if run.running:
        yield f"bleed: running, attempt {run.attempt}"
    yield f"bleed cycles: {verdict.cycles}, the last {verdict.kept} keep to the rule"
    yield f"bleed came out: {shown(verdict.came_out_m3, Quantity.VOLUME)}"
    tail = verdict.tail
    if tail.best_m3 is None or tail.low_m3 is None or tail.high_m3 is None:
        yield f"bleed still to come: {tail.state}"
    else:
        best, low, high = volumes(tail.best_m3, tail.low_m3, tail.high_m3)
        yield f"bleed still to come: {best}, at least {low}, at most {high}"
    yield f"bleed verdict so far: {verdict.outcome}"
    yield from reason_lines("bleed", verdict.reasons)
    yield from ended_lines(state, BLEED)
