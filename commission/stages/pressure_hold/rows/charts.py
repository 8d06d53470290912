"""The curves of the holds that were ended, for the report: judged again from the stored readings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.base.text import counted
from commission.bench.chart import Band, Chart, Line, Look
from commission.bench.figures import difference
from commission.stages.pressure_hold.state.attempt import holds_of
from commission.stages.pressure_hold.work.judged import judge
from commission.units.chosen import unit_for
from commission.units.parse import parse

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.base.curve import Curve
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.pressure_hold.model import HoldPicture, HoldVerdict
    from commission.stages.pressure_hold.state.attempt import HoldAttempt

_MINUTE_S = 60.0


def hold_charts(book: Logbook, state: BuildState) -> Iterator[Chart]:
    """Yield the curve of each hold that was ended and whose readings give one."""
    for hold in holds_of(state):
        closed = hold.verdict_entry
        if closed is None or hold.plan is None or hold.started is None or hold.closed is None:
            continue
        now_s = (hold.closed.mark.wall_ms - hold.started.mark.wall_ms) / 1000 + hold.ahead_s
        again = judge(book, state, hold, now_s, ending=closed.ending)
        if again.picture is not None:
            unit = unit_for(Quantity.PRESSURE_DIFFERENCE, hold.plan.gauge.unit) or ""
            yield _chart(hold, again.picture, unit, _differs(closed.verdict, again))


def _differs(stored: HoldVerdict, again: HoldVerdict) -> str:
    """Return what to know where the readings are judged otherwise today; the stored verdict is the one that counts."""
    if stored.outcome is again.outcome:
        return ""
    return f" The verdict of the log is {stored.outcome}; this program would say {again.outcome}."


def _chart(hold: HoldAttempt, picture: HoldPicture, unit: str, differs: str) -> Chart:
    unit_pa = parse(f"1 {unit}", Quantity.PRESSURE_DIFFERENCE).si

    def line(name: str, look: Look, curve: Curve) -> Line:
        return Line(name=name, look=look, x=_minutes(curve), y=_pressures(curve, unit_pa))

    bands: tuple[Band, ...] = ()
    if picture.low.elapsed_s and picture.low.elapsed_s == picture.high.elapsed_s:
        edges = {"low": _pressures(picture.low, unit_pa), "high": _pressures(picture.high, unit_pa)}
        bands = (Band(name="bounds", x=_minutes(picture.low), **edges),)
    lines = (
        line("readings", Look.DOTS, picture.points),
        line("fit", Look.LINE, picture.fit),
        line("limit", Look.DASHED, picture.limit),
    )
    return Chart(
        title=f"Hold {hold.attempt}: pressure below the start",
        said=_said(picture, unit) + differs,
        across="minutes",
        up=f"temperature corrected, {unit}",
        lines=tuple(one for one in lines if one.x),
        bands=bands,
    )


def _said(picture: HoldPicture, unit: str) -> str:
    said = counted(len(picture.points.elapsed_s), "point")
    if picture.fit.pressure_pa:
        said += f"; the fit falls by {difference(_fall(picture.fit), unit)}"
    if picture.limit.pressure_pa:
        said += f", the limit line by {difference(_fall(picture.limit), unit)}"
    return f"{said}."


def _fall(curve: Curve) -> float:
    return curve.pressure_pa[0] - curve.pressure_pa[-1]


def _minutes(curve: Curve) -> tuple[float, ...]:
    return tuple(seconds / _MINUTE_S for seconds in curve.elapsed_s)


def _pressures(curve: Curve, unit_pa: float) -> tuple[float, ...]:
    return tuple(pa / unit_pa for pa in curve.pressure_pa)
