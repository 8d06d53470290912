"""The picture of the soak for the report: coolant above air, the fitted course and the limit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.chart import Chart, Line, Look
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.stages.thermal_soak.rows.figures import picture_said
from commission.stages.thermal_soak.work import Soaks

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook

MINUTE = 60.0


def soak_charts(book: Logbook, state: BuildState) -> Iterator[Chart]:
    """Yield coolant above air over time, where it was read."""
    if not state.runs.get(THERMAL_SOAK):
        return
    verdict = book.work(Soaks).verdict(state)
    picture = verdict.picture
    if picture is None:
        return
    minutes = tuple(second / MINUTE for second in picture.elapsed_s)
    fitted = tuple(second / MINUTE for second in picture.fit_s)
    limit, last = verdict.rule.above_air_k, max((*minutes, *fitted))
    lines = (
        Line(name="read", look=Look.DOTS, x=minutes, y=picture.above_k),
        Line(name="fitted course", look=Look.LINE, x=fitted, y=picture.fit_k),
        Line(name="limit", look=Look.DASHED, x=(minutes[0], last), y=(limit, limit)),
    )
    yield Chart(
        title="Thermal soak: coolant above air",
        said=f"{picture_said(picture, verdict.rule)}.",
        across="min",
        up="K",
        lines=tuple(line for line in lines if line.x),
    )
