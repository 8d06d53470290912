"""A sweep in figures and words, the same while it goes on and after."""

from typing import TYPE_CHECKING

from commission.bench.card import Figure
from commission.stages.fan_headers.lines.sweep import visits
from commission.stages.fan_headers.model.sweep import Direction

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.stages.fan_headers.model.sweep import SweepReading, SweepVerdict

AT_FULL, CHANGE, STANDS, LEAST, BOTH = "at 100 %", "change", "stands at", "leave it at", "down and up"
"""Labels of the figures."""
TOLD_P = 0.05
"""Odds above which they tell nothing and are left out [1]."""


def figures_of(verdict: "SweepVerdict") -> tuple[Figure, ...]:
    """Return the figures of a sweep, the most important first."""
    rows = []
    if verdict.full_rpm is not None:
        again = "" if verdict.repeat_rpm is None else f"{verdict.repeat_rpm:.0f} rpm apart at start and end"
        rows.append(Figure(label=AT_FULL, value=f"{verdict.full_rpm:.0f} rpm", bounds=again))
    if verdict.span is not None and verdict.trend is not None:
        told = verdict.trend_p is not None and verdict.trend_p < TOLD_P
        odds = f"chance gives such an order with {verdict.trend_p:.2g}" if told else ""
        rows.append(Figure(label=CHANGE, value=f"{100 * verdict.span:.0f} %", bounds=odds))
    stops = verdict.stops
    if stops.stop_pct is not None:
        start = "" if stops.start_pct is None else f"starts at {stops.start_pct:g} %"
        rows.append(Figure(label=STANDS, value=f"{stops.stop_pct:g} %", bounds=start))
    if stops.minimum_pct is not None:
        rows.append(Figure(label=LEAST, value=f"{stops.minimum_pct:g} %", bounds="or more"))
    if verdict.hysteresis_rpm is not None and verdict.agree_rpm is not None:
        limit = f"up to {verdict.agree_rpm:.0f} rpm is fine"
        rows.append(Figure(label=BOTH, value=f"{verdict.hysteresis_rpm:.0f} rpm", bounds=limit))
    return tuple(rows)


def levels_text(readings: "Sequence[SweepReading]") -> str:
    """Return every level that was visited, in order, in one line.

    >>> from commission.stages.fan_headers.lines.sweep import read_level
    >>> levels_text([*read_level("100 1500 1498 down"), *read_level("80 lost down"), *read_level("100 1497 up")])
    'down: 100 % 1500, 1498 · 80 % lost; up: 100 % 1497'
    """
    told: dict[str, list[str]] = {}
    for visit in visits(readings):
        way = "" if visit[0].direction is Direction.NOT_SAID else f"{visit[0].direction}: "
        shown = ", ".join("lost" if one.rpm is None else f"{one.rpm:g}" for one in visit)
        told.setdefault(way, []).append(f"{visit[0].duty_pct:g} % {shown}")
    return "; ".join(f"{way}{' · '.join(levels)}" for way, levels in told.items())
