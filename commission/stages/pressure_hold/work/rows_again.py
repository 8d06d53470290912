"""Whether the rows of a file that is taken over stand in another hold already: one file proves one loop once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.base.text import braced, clip
from commission.stages.pressure_hold.entries import HoldStarted
from commission.stages.pressure_hold.state.attempt import holds_of
from commission.statistics.same_rows import RUN, same_rows

if TYPE_CHECKING:
    from commission.record.fold import BuildState
    from commission.record.logged import SampleColumns
    from commission.record.record import Record
    from commission.stages.pressure_hold.state.attempt import HoldAttempt

ROWS_AGAIN = "rows_seen_before"
"""The word of that reason for programs."""

_Values = tuple[float | None, ...]


def seen_before(book: Record, state: BuildState, hold: HoldAttempt, samples: SampleColumns) -> Phrase | None:
    """Return in which other hold the rows of this one stand; None where in none, or where they came live.

    Times do not count, since a file may be cut at its start. A file that is taken over once more with the same start,
    or after its start had been given wrongly, is the same hold and stays what it was.
    """
    if hold.began_ms is None or len(samples.elapsed_s) < RUN:
        return None
    rows = _rows(samples)
    own = {one.series for one in holds_of(state) if one.began_ms == hold.began_ms or one.refused_s is not None}
    for entry in book.entries_of_kind(HoldStarted.KIND):
        other = entry.payload
        if not isinstance(other, HoldStarted) or other.series in own | {hold.series}:
            continue
        if same_rows(rows, _rows(book.log.samples(other.series))):
            name = braced(clip(book.build(entry.build).name))
            said = f"The same rows were read in hold {other.attempt} of {name}: one of the two is not this loop's file."
            return Phrase(ROWS_AGAIN, said)
    return None


def _rows(samples: SampleColumns) -> list[_Values]:
    """Return pressure, air and barometer of each row; None where one was not read."""
    columns = (samples.pressure_pa, samples.air_k, samples.barometer_pa)
    return [tuple(None if one != one else one for one in row) for row in zip(*columns, strict=True)]  # noqa: PLR0124 - only NaN is not itself
