"""Starts the hold that runs in the sample logbook: through the work, on a clock that is set back and comes forward."""

from collections.abc import Callable

from commission.base.quantity import Measured, Quantity
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.entries import SourceOff
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.work.holds import Holds

ISOLATED_S = 750.0
"""How long before now the source was taken off [s]; our choice: a third of a hold of 40 min is over."""
READINGS = ((720.0, "500.0"), (420.0, "499.9"), (120.0, "499.9"))
"""How long ago it was read [s], and what [mbar]; our choice: a tight loop in an even room.

At the limit of 0.01 mbar·L/s a loop of 1.2 L falls by 0.01 · 600 / 1.2 = 5 mbar in these 10 min; this one by 0.1."""
AIR_C = "22.0"
"""What the thermometer shows each time [degC]; our choice: an even room."""


def start_planned(book: Logbook, behind: Callable[[float], None]) -> None:
    """Start the hold of each build that has a plan and no start, and read it up to now.

    Parameters
    ----------
    behind
        Sets its clock so many seconds back.
    """
    for row in book.builds():
        hold = hold_of(book.build(row.build_id))
        if hold.plan is not None and hold.started is None:
            _start(book.work(Holds), book, row.build_id, behind)


def _start(holds: Holds, book: Logbook, build_id: str, behind: Callable[[float], None]) -> None:
    behind(ISOLATED_S)
    holds.print_cautions(build_id)
    for step in holds.stage(book.build(build_id)).steps:
        holds.do_step(build_id, step.id)
    holds.isolate(build_id, SourceOff.HOSE_OFF)
    for number, (ago_s, mbar) in enumerate(READINGS):
        behind(ago_s)
        gauge = Measured(quantity=Quantity.GAUGE_PRESSURE, si=float(mbar) * 100, typed=f"{mbar} mbar")
        if number == 0:
            holds.start(build_id, gauge=gauge)
        holds.read(
            build_id,
            pressure=gauge,
            air=Measured(quantity=Quantity.TEMPERATURE, si=float(AIR_C) + 273.15, typed=f"{AIR_C} degC"),
        )
