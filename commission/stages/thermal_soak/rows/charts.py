"""The picture of the soak for the report: coolant above air, the fitted course and the limit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.chart import Chart, Line, Look
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.stages.thermal_soak.rows.figures import picture_said
from commission.stages.thermal_soak.work.soaks import Soaks
from commission.units.chosen import unit_for
from commission.units.lookup import find_unit
from commission.units.registry import scale

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
    unit = find_unit(unit_for(Quantity.TEMPERATURE_DIFFERENCE, "K") or "K", Quantity.TEMPERATURE_DIFFERENCE)
    one, _ = scale(unit)
    minutes = tuple(second / MINUTE for second in picture.elapsed_s)
    fitted = tuple(second / MINUTE for second in picture.fit_s)
    limit, last = verdict.rule.above_air_k, max((*minutes, *fitted))
    lines = (
        Line(name="read", look=Look.DOTS, x=minutes, y=_in_unit(picture.above_k, one)),
        Line(name="fitted course", look=Look.LINE, x=fitted, y=_in_unit(picture.fit_k, one)),
        Line(name="limit", look=Look.DASHED, x=(minutes[0], last), y=_in_unit((limit, limit), one)),
    )
    yield Chart(
        title="Thermal soak: coolant above air",
        said=f"{picture_said(picture, verdict.rule)}.",
        across="minutes",
        up=f"coolant above air, {unit.symbol}",
        lines=tuple(line for line in lines if line.x),
    )


def _in_unit(kelvins: tuple[float, ...], one: float) -> tuple[float, ...]:
    return tuple(kelvin / one for kelvin in kelvins)
