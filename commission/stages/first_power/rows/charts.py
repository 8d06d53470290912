"""The picture of the voltages for the report: each as a dot in its own window."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.text import counted
from commission.base.verdict import Outcome
from commission.bench.chart import Band, Chart, Line, Look
from commission.stages.first_power.state.power import FirstPowerState

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.first_power.model.rails import RailRow

WHOLE_PCT = 100.0
"""The upper edge of a window, where the lower one is 0 [%]."""


def rail_charts(_book: Logbook, state: BuildState) -> Iterator[Chart]:
    """Yield the voltages of the supply, where they were read."""
    rails = state.of(FirstPowerState).rails
    if rails is None or not rails.rows:
        return
    rows = list(enumerate(rails.rows, 1))
    idle = [(number, row) for number, row in rows if not row.reading.loaded]
    loaded = [(number, row) for number, row in rows if row.reading.loaded]
    bad = [
        f"{number}, {row.reading.plug} {row.reading.rail}" for number, row in rows if row.outcome is not Outcome.PASS
    ]
    told = f"Not in it: {'; '.join(bad)}." if bad else "All of them pass."
    ends = (1.0, float(max(2, len(rows))))
    yield Chart(
        title="Voltages: where each lies in its window",
        said=f"{counted(len(rows), 'voltage')} in the order of the list above. {told} "
        "The lower edge of each window is 0 %, the upper edge 100 %.",
        across="voltage, in the order of the list",
        up="place in its window, %",
        lines=tuple(line for line in (_line("idle", Look.DOTS, idle), _line("loaded", Look.RINGS, loaded)) if line.x),
        bands=(Band(name="window", x=ends, low=(0.0, 0.0), high=(WHOLE_PCT, WHOLE_PCT)),),
    )


def _line(name: str, look: Look, rows: list[tuple[int, RailRow]]) -> Line:
    return Line(
        name=name,
        look=look,
        x=tuple(float(number) for number, _ in rows),
        y=tuple(_share_pct(row) for _, row in rows),
    )


def _share_pct(row: RailRow) -> float:
    window = row.window
    return WHOLE_PCT * (row.reading.volt - window.low_v) / (window.high_v - window.low_v)
