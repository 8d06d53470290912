"""The picture of the fill for the report: the total after each amount, and what the loop should take."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.chart import Band, Chart, Line, Look
from commission.stages.fill.rows.figures import picture_said
from commission.stages.fill.state import FillState
from commission.stages.fill.work.fills import Fills
from commission.units.chosen import unit_for
from commission.units.parse import parse

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


def fill_charts(book: Logbook, state: BuildState) -> Iterator[Chart]:
    """Yield the running total, where coolant was moved."""
    if not state.of(FillState).moves:
        return
    picture = book.work(Fills).verdict(state).picture
    if picture is None or not picture.total_m3:
        return
    unit = unit_for(Quantity.VOLUME, "mL") or ""
    one = parse(f"1 {unit}", Quantity.VOLUME).si
    steps = tuple(float(seq) for seq in picture.seq)
    bands: tuple[Band, ...] = ()
    if picture.low_m3 is not None and picture.high_m3 is not None:
        ends = (steps[0], steps[-1])
        low, high = picture.low_m3 / one, picture.high_m3 / one
        bands = (Band(name="expected, 95 %", x=ends, low=(low, low), high=(high, high)),)
    yield Chart(
        title="Fill: coolant in the loop",
        said=f"{picture_said(picture)}.",
        across="amount, in order",
        up=f"in the loop, {unit}",
        lines=(Line(name="total", look=Look.DOTS, x=steps, y=tuple(m3 / one for m3 in picture.total_m3)),),
        bands=bands,
    )
