"""Whether the rows of a file that is taken over stand in another hold already: one file proves one loop once."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.base.text import braced, clip
from commission.stages.pressure_hold.entries import HoldStarted
from commission.stages.pressure_hold.state.attempt import holds_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.record.fold import BuildState
    from commission.record.logged import SampleColumns
    from commission.record.record import Record
    from commission.stages.pressure_hold.state.attempt import HoldAttempt

RUN = 8
"""So many rows in a row are looked for elsewhere [1]; our choice: short runs are alike by chance."""
MOVES = 4
"""A run counts where so many of its rows differ from the one before [1]; our choice: two gauges that stand still show
the same rows, two rooms and two displays do not move alike."""
SHARE = 0.5
"""A hold with so much of its rows in runs of another is not this loop's [1]; our choice: cut or spliced, it is the
same file."""

_Values = tuple[float | None, ...]


def seen_before(book: Record, state: BuildState, hold: HoldAttempt, samples: SampleColumns) -> Phrase | None:
    """Return in which other hold the rows of this one stand; None where in none, or where they came live.

    Parameters
    ----------
    book
        The record.
    state
        The build.
    hold
        The attempt.
    samples
        Its fed readings.

    Notes
    -----
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
        if _shared(rows, _rows(book.log.samples(other.series))) >= SHARE * len(rows):
            name = braced(clip(book.build(entry.build).name))
            said = f"The same rows were read in hold {other.attempt} of {name}: one of the two is not this loop's file."
            return Phrase("rows_seen_before", said)
    return None


def _rows(samples: SampleColumns) -> list[_Values]:
    """Return pressure, air and barometer of each row; None where one was not read."""
    columns = (samples.pressure_pa, samples.air_k, samples.barometer_pa)
    return [tuple(None if one != one else one for one in row) for row in zip(*columns, strict=True)]  # noqa: PLR0124 - only NaN is not itself


def _shared(rows: list[_Values], others: list[_Values]) -> int:
    """Return how many rows lie in runs that stand in the others too, and that move."""
    there = set(map(hash, _runs(others)))
    shared: set[int] = set()
    for at, run in enumerate(_runs(rows)):
        if sum(one != after for one, after in pairwise(run)) >= MOVES and hash(run) in there:
            shared.update(range(at, at + RUN))
    return len(shared)


def _runs(rows: Sequence[_Values]) -> Iterator[tuple[_Values, ...]]:
    return (tuple(rows[at : at + RUN]) for at in range(len(rows) - RUN + 1))
