"""The pictures of the years for the report: what was lost, and coolant above air per watt."""

from __future__ import annotations

from itertools import accumulate
from typing import TYPE_CHECKING

from commission.bench.chart import Chart, Line, Look
from commission.procedure.stage_ids import HANDOVER
from commission.stages.handover.rows.figures import MONTH_S, loss_said
from commission.stages.handover.work.years import levels_of, loss_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


def handover_charts(book: Logbook, state: BuildState) -> Iterator[Chart]:
    """Yield the coolant lost since handover, where it was topped up at least twice."""
    entries = book.entries(state.build_id)
    topped, _ = levels_of(entries, state)
    if len(topped) < 2:
        return
    stage = book.procedure(state).stage(HANDOVER)
    loss = loss_of(stage, entries, state)
    if loss is None:
        return
    months = (0.0, *(one.to_s / MONTH_S for one in topped))
    lost = (0.0, *accumulate(1e6 * one.gone_m3 for one in topped))
    usual = stage.limit("usual_loss_m3_s") * MONTH_S * 1e6
    yield Chart(
        title="Handover: coolant lost since then",
        said=loss_said(loss),
        across="months",
        up="topped up in all, mL",
        lines=(
            Line(name="topped up", look=Look.DOTS, x=months, y=lost),
            Line(name="usual at most", look=Look.DASHED, x=(0.0, months[-1]), y=(0.0, usual * months[-1])),
        ),
    )
