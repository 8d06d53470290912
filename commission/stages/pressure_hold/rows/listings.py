"""With what each hold was read, and between which values, for the report."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.bench.figures import step_text
from commission.bench.listing import Listing
from commission.stages.pressure_hold.state.attempt import holds_of
from commission.stages.pressure_hold.work.judged import series_of
from commission.units.show import show

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.machine.instrument import Instrument

_COLUMNS = ("hold", "instrument", "step", "largest error stated", "calibrated on", "lowest read", "highest read")


def hold_listings(book: Logbook, state: BuildState) -> Iterator[Listing]:
    """Yield the instruments of each hold that was begun, as its plan describes them, and what they showed."""
    rows: list[tuple[str, ...]] = []
    for hold in holds_of(state):
        if hold.started is None or hold.plan is None:
            continue
        plan, series = hold.plan, series_of(book.log.samples(hold.series), hold)
        read = (
            (plan.gauge, series.pressure_pa),
            (plan.thermometer, series.air_k),
            (plan.barometer, series.barometer_pa),
        )
        rows += (_row(hold.attempt, one, column) for one, column in read if one is not None)
    if rows:
        yield Listing(caption="With what each hold was read, and in what air", columns=_COLUMNS, rows=tuple(rows))


def _row(attempt: int, one: Instrument, column: Sequence[float]) -> tuple[str, ...]:
    known = [value for value in column if not math.isnan(value)]
    ends = (min(known), max(known)) if known else ()
    shown = [show(value, one.quantity, unit=one.unit, resolution=one.resolution) for value in ends]
    return (
        str(attempt),
        one.name,
        f"{step_text(one, one.resolution)}{', GUESSED' if one.step_guessed else ''}",
        f"± {step_text(one, one.accuracy)}" if one.accuracy else "not stated",
        one.calibrated_on or "not stated",
        *(shown or ("not read", "not read")),
    )
