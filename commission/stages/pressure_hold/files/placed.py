"""Where an incoming row belongs in a running hold, and whether it is there already."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.clock import MOVED_S, elapsed_between
from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.record.logged import Sample
from commission.record.machine.instrument import InstrumentKind
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.work.times import AHEAD_S
from commission.units.show import show

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.base.clock import ClockMark, Elapsed
    from commission.record.logbook import Logbook
    from commission.record.machine.instrument import Instrument
    from commission.stages.pressure_hold.files.rows import Sample as Row

TICK_S = 0.001
"""Smallest time between two readings that the record tells apart [s]."""


class Already(Frozen, kw_only=False):
    """The same row was stored before."""

    number: int
    """Its place in the series, from 1."""


Values = tuple[float, float, float]
"""Pressure, air and barometer; NaN where they were not read."""


class Places:
    """Places rows in the running hold of a build.

    ``elapsed`` counts from the start of the hold and is taken as it is. ``time`` counts from the last stored reading by
    the wall clock, or from the start of the hold where there is none; in a hold that is taken over from a file, always
    from its start. A row without either is stamped on arrival.
    """

    def __init__(self, book: Logbook, build_id: str, tell: Callable[[str], object], *, fresh: bool) -> None:
        self._tell = tell
        self._clock = book.clock
        hold = hold_of(book.build(build_id))
        assert hold.started is not None  # whoever asks has seen to it that a hold runs
        assert hold.plan is not None  # a started hold has one
        self._start = hold.started.mark
        self._gauge: Instrument = hold.plan.gauge
        self._fresh = fresh
        self._began_ms = hold.began_ms
        self._gone = hold.rows_gone
        self._told = False
        stored = book.log.samples(hold.series)
        columns = zip(stored.elapsed_s, stored.pressure_pa, stored.air_k, stored.barometer_pa, strict=True)
        self._known: dict[int, tuple[int, Values]] = {
            _key(elapsed): (number, (pressure, air, barometer))
            for number, (elapsed, pressure, air, barometer) in enumerate(columns, 1)
        }
        self._last = book.log.last_sample(hold.series)

    @property
    def absolute(self) -> bool:
        """Whether the hold is read in absolute pressure."""
        return self._gauge.kind is InstrumentKind.ABSOLUTE_GAUGE

    def place(self, row: Row, line: int, now: ClockMark | None = None) -> Sample | Already:
        """Return a row as it is to be stored, or its place where it is stored already.

        ``now``: the clocks when it came; None: they are read.

        Raises
        ------
        FileError
            If it lies before the start or before what is stored, or is beyond the gauge's range.
        """
        self._refuse_range(row, line)
        now = now or self._clock.now()
        since = elapsed_between(self._start, now)
        self._tell_moved(since)
        elapsed = self._elapsed(row)
        if elapsed is None:
            elapsed = self._on_arrival(since, line)
        elif (again := self._again(row, elapsed, line)) is not None:
            return again
        return Sample(
            elapsed_s=elapsed,
            wall_ms=now.wall_ms if row.at_ms is None else row.at_ms,
            pressure_pa=row.pressure_pa,
            air_k=row.air_k,
            barometer_pa=row.barometer_pa,
            typed=row.typed,
        )

    def _on_arrival(self, since: Elapsed, line: int) -> float:
        """Return the place of a row that is stamped now [s]."""
        if self._began_ms is not None:
            raise FileError("this hold is taken over from a file; its rows need a time of their own", line=line)
        last = self._last.elapsed_s if self._last is not None else -TICK_S
        if since.lost or since.elapsed_s < last - MOVED_S - AHEAD_S:
            raise FileError("the computer's clock was set back, so the row has no time; end the hold", line=line)
        return max(since.elapsed_s, last + TICK_S)

    def _tell_moved(self, since: Elapsed) -> None:
        """Say once that the clock of the computer was moved since the start."""
        if self._told or not since.moved:
            return
        self._told = True
        way = "back" if since.wall_step_s < 0 else "forward"
        by = show(abs(since.wall_step_s), Quantity.DURATION)
        counts = "no clock bridges that" if since.lost else "the hold counts by a clock that cannot be set"
        self._tell(f"warning: the computer's clock was set {way} by {by} during the hold; {counts}")

    def stored(self, sample: Sample) -> None:
        """Take note that a sample was stored."""
        self._last = sample

    def _elapsed(self, row: Row) -> float | None:
        if row.elapsed_s is not None or row.at_ms is None:
            return row.elapsed_s
        if self._began_ms is not None:
            return (row.at_ms - self._began_ms) / 1000
        if self._last is not None:
            return self._last.elapsed_s + (row.at_ms - self._last.wall_ms) / 1000
        return 0.0 if self._fresh else (row.at_ms - self._start.wall_ms) / 1000

    def _again(self, row: Row, elapsed: float, line: int) -> Already | None:
        """Return the place of the same row stored before; None where the row is new."""
        field = "elapsed" if row.at_ms is None else "time"
        if elapsed < 0:
            early = show(-elapsed, Quantity.DURATION)
            raise FileError(f"it lies {early} before the start of the hold; check the clock", line=line, field=field)
        if self._last is None or _key(elapsed) > _key(self._last.elapsed_s):
            return None
        number, values = self._known.get(_key(elapsed), (0, None))
        if values is not None and _same(values, row):
            if number in self._gone:
                self._tell(f"row {number} was withdrawn and does not count; the same again changes nothing")
            return Already(number)
        if number in self._gone:
            said = f"row {number} of that time was withdrawn; give the right one a later time, or none"
            raise FileError(said, line=line, field=field)
        at, last = (show(s, Quantity.DURATION) for s in (elapsed, self._last.elapsed_s))
        what = "other values are stored for that time" if number else "nothing is stored for that time"
        raise FileError(
            (
                f"it lies at {at} of the hold, which is stored up to {last}, and {what}. Count on "
                "from there, or leave the column of the time out"
            ),
            line=line,
            field=field,
        )

    def _refuse_range(self, row: Row, line: int) -> None:
        if row.pressure_pa <= self._gauge.high:
            return
        read, high = (show(pa, self._gauge.quantity) for pa in (row.pressure_pa, self._gauge.high))
        raise FileError(
            f'{read} is above the range of "{self._gauge.name}", {high}; check the number and the unit in the header',
            line=line,
            field="absolute" if self.absolute else "gauge",
        )


def _key(elapsed_s: float) -> int:
    return round(elapsed_s / TICK_S)


def _same(values: Values, row: Row) -> bool:
    read = (row.pressure_pa, row.air_k, row.barometer_pa)
    return all(
        math.isnan(known) if value is None else known == value for known, value in zip(values, read, strict=True)
    )
