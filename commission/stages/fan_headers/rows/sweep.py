"""A sweep in figures and words, the same while it goes on and after."""

from typing import TYPE_CHECKING

from commission.bench.card import Figure, raw
from commission.stages.fan_headers.judge.sweep_reasons import by_chance
from commission.stages.fan_headers.model.sweep import Direction
from commission.stages.fan_headers.typed.sweep import visits

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.stages.fan_headers.entries import SweepTaken
    from commission.stages.fan_headers.model.sweep import Stops, SweepReading, SweepVerdict

AT_FULL, CHANGE, STOPS, LEAST, GAP = "at 100 %", "speed range", "stops at", "keep at least", "up/down gap"
"""Labels of the figures."""
ON_CARD = (AT_FULL, CHANGE, STOPS, LEAST, GAP)
"""What a card has room for."""
IN_SWEEP = (AT_FULL, STOPS, LEAST)
"""What it shows while the sweep goes on: the others would push the plot off a small screen."""
TOLD_P = 0.05
"""Odds above which they tell nothing and are left out [1]."""


def figures_of(verdict: "SweepVerdict", step_rpm: float | None = None) -> tuple[Figure, ...]:
    """Return the figures of a sweep, the most important first; ``step_rpm`` is the step of the display."""
    rows = []
    if verdict.full_rpm is not None:
        again = "" if verdict.repeat_rpm is None else f"{_speed(verdict.repeat_rpm)} apart at start and end"
        rows.append(
            Figure(label=AT_FULL, value=_speed(verdict.full_rpm), bounds=again, raw=raw("rpm", verdict.full_rpm))
        )
    if verdict.span is not None and verdict.trend is not None:
        told = verdict.trend_p is not None and verdict.trend_p < TOLD_P
        odds = by_chance(verdict.trend_p) if verdict.trend_p is not None and told else ""
        span = 100 * verdict.span
        rows.append(
            Figure(
                label=CHANGE, value=f"{span:.0f} %" if span >= 1 else f"{span:.1g} %", bounds=odds, raw=raw("%", span)
            )
        )
    rows += _stops(verdict.stops)
    if verdict.hysteresis_rpm is not None and verdict.agree_rpm is not None:
        limit = f"up to {_speed(verdict.agree_rpm)} is fine"
        gap = verdict.hysteresis_rpm
        rows.append(Figure(label=GAP, value=_speed(gap), bounds=limit, raw=raw("rpm", gap)))
    return (*rows, *_readings(verdict, step_rpm))


def beside(taken: "SweepTaken") -> tuple[str, ...]:
    """Return what is to be known beside the readings of a sweep, in sentences: whose else they are, what was done."""
    same = f"The very speeds of an earlier sweep of {taken.same_as}, said to be right." if taken.same_as else ""
    done = f"Done since the last sweep failed: {taken.done.rstrip('.')}." if taken.done else ""
    return tuple(filter(None, (same, done)))


def _stops(stops: "Stops") -> list[Figure]:
    rows = []
    if stops.stop_pct is not None:
        start = "" if stops.start_pct is None else f"starts at {stops.start_pct:g} %"
        rows.append(Figure(label=STOPS, value=f"{stops.stop_pct:g} %", bounds=start, raw=raw("%", stops.stop_pct)))
    elif stops.start_pct is not None:
        rows.append(Figure(label="starts at", value=f"{stops.start_pct:g} %"))
    if stops.minimum_pct is not None:
        rows.append(Figure(label=LEAST, value=f"{stops.minimum_pct:g} %", raw=raw("%", stops.minimum_pct)))
    return rows


def _readings(verdict: "SweepVerdict", step_rpm: float | None) -> list[Figure]:
    """Return how good the readings were, for whoever looks closer."""
    rows = []
    if verdict.curve_points is not None:
        fine = "the 4-wire specification allows 10"
        rows.append(Figure(label="off straight curve", value=f"{verdict.curve_points:.1f} points", bounds=fine))
    if verdict.noise_rpm is not None:
        shown = "from the display's step" + ("" if step_rpm is None else f", {step_rpm:g} rpm")
        how = "measured" if verdict.read_twice else shown
        rows.append(Figure(label="scatter", value=_speed(verdict.noise_rpm), bounds=f"of one reading, {how}"))
    return rows


def _speed(rpm: float) -> str:
    return f"{rpm:.0f} rpm"


def levels_text(readings: "Sequence[SweepReading]") -> str:
    """Return every level that was visited, in order, in one line.

    >>> from commission.stages.fan_headers.typed.sweep import read_level
    >>> levels_text([*read_level("100 1500 1498 down"), *read_level("80 lost down"), *read_level("100 1497 up")])
    'down: 100 % 1500, 1498 · 80 % lost; up: 100 % 1497'
    """
    told: dict[str, list[str]] = {}
    for visit in visits(readings):
        way = "" if visit[0].direction is Direction.NOT_SAID else f"{visit[0].direction}: "
        shown = ", ".join("lost" if one.rpm is None else f"{one.rpm:g}" for one in visit)
        told.setdefault(way, []).append(f"{visit[0].duty_pct:g} % {shown}")
    return "; ".join(f"{way}{' · '.join(levels)}" for way, levels in told.items())
