"""The bleed of a build as plain lines: its figures, its verdict and why, its attempts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.attempts import ended_lines
from commission.procedure.stage_ids import BLEED
from commission.stages.bleed.entries import BleedClosed
from commission.stages.bleed.rows.figures import figures_of, reasons_of
from commission.stages.bleed.work import Bleeds

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.card import Fact
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


def bleed_lines(book: Logbook, state: BuildState) -> Iterator[Fact]:
    """Yield the facts of a bleed; nothing where none was begun or prepared."""
    if not state.runs.get(BLEED):
        return
    run, verdict = state.run(BLEED), book.work(Bleeds).verdict(state)
    if run.running:
        yield f"bleed: running, attempt {run.attempt}"
    for figure in figures_of(verdict):
        yield figure.of("bleed")
    yield f"bleed verdict so far: {verdict.outcome}"
    for reason in reasons_of(verdict):
        yield f"bleed reason: {reason}"
    yield from ended_lines(state, BLEED, BleedClosed, lambda one: (figures_of(one.verdict), reasons_of(one.verdict)))
