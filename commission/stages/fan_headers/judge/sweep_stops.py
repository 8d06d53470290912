"""Where a chain stops, where it starts again, and the smallest duty to leave it at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.stages.fan_headers.model.sweep import Direction, Stops

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from commission.stages.fan_headers.judge.sweep_levels import Visit

STANDS_SHARE = 0.05
"""Share of the highest speed up to which a chain counts as standing [1]; our choice: a rotor that twitches shows some
tens of rpm, and no fan is steered to a twentieth of its full speed (common practice, no source)."""


def stops_of(visits: Iterable[Visit]) -> Stops:
    """Return where a chain stops and starts, and the minimum advised, from its visits in the order of the sweep [%].

    It stands where it shows 0, or next to nothing beside its full speed. Stop: the highest duty that stood
    on the way down; the limit lies between it and the next level. Start: the lowest duty from which it turned at every
    level on the way up, known only where it had stood still. The minimum is one level above the start; where the way up
    is missing one level above the lowest that ran; where it never stopped the lowest level that was read. Levels
    without a way count as the way down.

    Examples
    --------
    >>> from commission.stages.fan_headers.judge.sweep_levels import Visit
    >>> def way(direction, rows):
    ...     return [Visit(duty_pct=d, direction=direction, rpm=(float(n),), failed=0) for d, n in rows]
    >>> down = way(Direction.DOWN, [(100, 1498), (80, 1258), (60, 985), (50, 842), (40, 695), (30, 548), (20, 0)])
    >>> up = way(Direction.UP, [(20, 0), (30, 0), (40, 688), (50, 835), (60, 978), (80, 1254), (100, 1496)])
    >>> stops_of(down + up)
    Stops(stop_pct=20, runs_pct=30, start_pct=40, starts_later=True, minimum_pct=50)
    """
    visits = [visit for visit in visits if visit.rpm]
    floor_rpm = STANDS_SHARE * max((visit.median or 0.0 for visit in visits), default=0.0)
    turning_down = _turning((visit for visit in visits if visit.direction is not Direction.UP), floor_rpm)
    turning_up = _turning((visit for visit in visits if visit.direction is Direction.UP), floor_rpm)
    duties = sorted({visit.duty_pct for visit in visits})
    stop = max((duty for duty, turns in turning_down.items() if not turns), default=None)
    runs = _lowest_turning(turning_down)
    stood = stop is not None or not all(turning_up.values())
    start = _lowest_turning(turning_up) if stood else None
    unstopped = runs if turning_down else _lowest_turning(turning_up)
    least = start if stood and turning_up else unstopped
    return Stops(
        stop_pct=stop,
        runs_pct=runs if stop is not None else None,
        start_pct=start,
        starts_later=start is not None and runs is not None and start > runs,
        minimum_pct=(least if not stood else _next(duties, least)) if least is not None else None,
    )


def _turning(visits: Iterable[Visit], floor_rpm: float) -> dict[float, bool]:
    """Tell for each duty whether it turned at every visit."""
    turning: dict[float, bool] = {}
    for visit in visits:
        turning[visit.duty_pct] = turning.get(visit.duty_pct, True) and (visit.median or 0.0) > floor_rpm
    return turning


def _lowest_turning(turning: dict[float, bool]) -> float | None:
    """Return the lowest duty from which it turned at every level; None where it stood at the highest."""
    lowest = None
    for duty in sorted(turning, reverse=True):
        if not turning[duty]:
            break
        lowest = duty
    return lowest


def _next(duties: Sequence[float], duty: float) -> float:
    return next((higher for higher in duties if higher > duty), duty)
