"""The picture of the bleed for the report: what each cycle took, the fitted tail and the limit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.chart import Chart, Line, Look
from commission.procedure.stage_ids import BLEED
from commission.stages.bleed.rows.figures import picture_said
from commission.stages.bleed.work import Bleeds
from commission.units.chosen import unit_for
from commission.units.parse import parse

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


def bleed_charts(book: Logbook, state: BuildState) -> Iterator[Chart]:
    """Yield the top-ups, where there are any."""
    if not state.runs.get(BLEED):
        return
    verdict = book.work(Bleeds).verdict(state)
    picture = verdict.picture
    if picture is None or not picture.number:
        return
    unit = unit_for(Quantity.VOLUME, "mL") or ""
    one = parse(f"1 {unit}", Quantity.VOLUME).si
    numbers = tuple(float(number) for number in picture.number)
    limit = verdict.rule.top_up_m3 / one
    lines = (
        Line(name="top-up", look=Look.DOTS, x=numbers, y=tuple(m3 / one for m3 in picture.gone_m3)),
        Line(name="fitted tail", look=Look.LINE, x=picture.tail_number, y=tuple(m3 / one for m3 in picture.tail_m3)),
        Line(name="limit", look=Look.DASHED, x=(numbers[0], numbers[-1]), y=(limit, limit)),
    )
    yield Chart(
        title="Bleed: what each cycle took",
        said=f"{picture_said(picture, verdict.rule)}.",
        across="cycle",
        up=f"topped up, {unit}",
        lines=tuple(line for line in lines if line.x),
    )
