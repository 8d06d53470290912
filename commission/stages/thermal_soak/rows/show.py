"""The thermal soak of a build as plain lines: its figures, its verdict and why, its attempts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.attempts import ended_lines
from commission.bench.figures import degrees
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.stages.thermal_soak.entries import SoakClosed
from commission.stages.thermal_soak.rows.figures import figures_of, joint_figures, reasons_of
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.text import plan_text
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.card import Fact
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


def soak_lines(book: Logbook, state: BuildState) -> Iterator[Fact]:
    """Yield the facts of a soak; nothing where none was begun or prepared."""
    if not state.runs.get(THERMAL_SOAK):
        return
    run, verdict = state.run(THERMAL_SOAK), book.work(Soaks).verdict(state)
    if run.running:
        yield f"soak: running, attempt {run.attempt}"
    yield f"soak coolant: {plan_text(state.of(SoakState).plan)}"
    for figure in figures_of(verdict):
        yield figure.of("soak")
    kept, work = state.of(SoakState), book.work(Soaks)
    for limit in kept.limits():
        yield f"soak limit {limit.name}: {degrees(limit.most_k)}, {limit.source}"
    if kept.readings and JOINTS_HOT not in run.steps:
        for figure in joint_figures(work.joints(state) if run.running or kept.looks else (), kept.looks):
            yield figure.of("soak")
    yield f"soak verdict so far: {verdict.outcome}"
    for reason in reasons_of(verdict):
        yield f"soak reason: {reason}"
    yield from ended_lines(
        state, THERMAL_SOAK, SoakClosed, lambda one: (figures_of(one.verdict), reasons_of(one.verdict))
    )
