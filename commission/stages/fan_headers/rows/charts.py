"""The sweeps for the report: speed over duty, on the way down and on the way up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.chart import Chart, Line, Look
from commission.stages.fan_headers.model.sweep import Direction
from commission.stages.fan_headers.state import FanHeadersState

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.fan_headers.state import TakenSweep


def sweep_charts(_book: Logbook, state: BuildState) -> Iterator[Chart]:
    """Yield each sweep that was taken, stale ones too."""
    for taken in state.of(FanHeadersState).sweeps:
        chain = state.plugged.chain(taken.taken.chain_id)
        yield _chart("a chain" if chain is None else chain.name, taken)


def _chart(chain: str, taken: TakenSweep) -> Chart:
    rows = [(one.duty_pct, one.rpm, one.direction) for one in taken.taken.sweep.readings]
    down = [(duty, rpm) for duty, rpm, way in rows if way is not Direction.UP and rpm is not None]
    up = [(duty, rpm) for duty, rpm, way in rows if way is Direction.UP and rpm is not None]
    lines = (_line("way down", Look.DOTS, down), _line("way up", Look.RINGS, up))
    stale = "" if taken.stale_by is None else f" Stale since entry {taken.stale_by}."
    return Chart(
        title=f"Sweep of {chain}, entry {taken.seq}",
        said=f"Verdict: {taken.taken.verdict.outcome}.{stale}",
        across="duty, %",
        up="speed, rpm",
        lines=tuple(line for line in lines if line.x),
    )


def _line(name: str, look: Look, points: list[tuple[float, float]]) -> Line:
    return Line(name=name, look=look, x=tuple(duty for duty, _ in points), y=tuple(rpm for _, rpm in points))
