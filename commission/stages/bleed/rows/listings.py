"""The cycles of a bleed, one a row, for the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.figures import duration, millilitres
from commission.bench.listing import Listing
from commission.stages.bleed.state import BleedState

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


def bleed_listings(_book: Logbook, state: BuildState) -> Iterator[Listing]:
    """Yield the cycles of the bleed that goes on or was judged last; nothing where there are none."""
    rows = []
    for number, timed in enumerate(state.of(BleedState).cycles, 1):
        cycle = timed.cycle
        rows.append(
            (
                str(number),
                str(timed.seq),
                duration(timed.elapsed_s),
                f"{cycle.pump} for {duration(cycle.run_s)}",
                cycle.tilt,
                f"{millilitres(cycle.gone_m3, cycle.resolution_m3)}, {cycle.gone_by}",
                millilitres(cycle.resolution_m3, cycle.gone_m3),
                str(cycle.bubbles),
                str(cycle.noise),
            )
        )
    if rows:
        columns = ("cycle", "entry", "ended after", "pump", "case", "took", "within", "bubbles", "noise")
        yield Listing(caption="Cycles of the bleed that counts", columns=columns, rows=tuple(rows))
