"""Fed rows that were withdrawn: they stay in their series, and do not count."""

from collections.abc import Sequence

from commission.base.clock import Elapsed, Timing
from commission.base.errors import NotAllowed
from commission.base.quantity import Measured
from commission.record.logged import SampleColumns
from commission.stages.pressure_hold.entries import ReadingTaken
from commission.stages.pressure_hold.state.attempt import HoldAttempt, TimedReading


def refuse_row(hold: HoldAttempt, number: int) -> None:
    """Refuse to withdraw a fed row, whatever its series holds.

    Raises
    ------
    NotAllowed
        If no hold runs, it is taken over from a file, the row was withdrawn already, or it is the first: the hold was
        begun with that, and its cautions and ratings went by its pressure.
    """
    if not hold.running:
        raise NotAllowed("no hold is running; a row is withdrawn while its hold runs")
    if hold.began_ms is not None:
        raise NotAllowed("this hold is taken over from a file, and a row of that stays; end it, or hold again")
    if number <= 1:
        raise NotAllowed("the hold was begun by its first row, which stays; end it and begin another")
    if number in hold.rows_gone:
        raise NotAllowed(f"row {number} was withdrawn already")


def counting_rows(samples: SampleColumns, hold: HoldAttempt) -> SampleColumns:
    """Return the fed rows of a hold without those that were withdrawn."""
    if not hold.rows_gone:
        return samples

    def kept(column: Sequence[float]) -> list[float]:
        return [value for number, value in enumerate(column, 1) if number not in hold.rows_gone]

    return SampleColumns(
        elapsed_s=kept(samples.elapsed_s),
        pressure_pa=kept(samples.pressure_pa),
        air_k=kept(samples.air_k),
        barometer_pa=kept(samples.barometer_pa),
    )


def rows_withdrawn(samples: SampleColumns, hold: HoldAttempt) -> tuple[TimedReading, ...]:
    """Return the gauge readings of the rows that were withdrawn, as if they had been typed where they stand."""
    if hold.started is None or hold.plan is None:
        return ()
    started, quantity = hold.started, hold.plan.gauge.quantity
    return tuple(
        TimedReading(
            seq=started.seq,
            elapsed=Elapsed(
                elapsed_s=samples.elapsed_s[number - 1], timing=Timing.WALL_CLOCK, wall_step_s=0.0, restarted=False
            ),
            reading=ReadingTaken(
                attempt=hold.attempt,
                pressure=Measured(quantity=quantity, si=samples.pressure_pa[number - 1], typed=""),
                air=None,
                barometer=None,
            ),
            typed=started.mark,
        )
        for number in sorted(hold.rows_gone)
        if 0 < number <= len(samples.elapsed_s)
    )
