"""Readings of a file that another hold was judged by already: one of the two is not this loop's."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.base.text import braced, clip
from commission.stages.pressure_hold.entries import HoldStarted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.record.logged import SampleColumns
    from commission.record.record import Record
    from commission.stages.pressure_hold.state.attempt import HoldAttempt

FEWEST_ROWS = 3
"""Fewer equal rows may be chance [1]; our choice: a pass needs as many."""


def seen_before(book: Record, hold: HoldAttempt, samples: SampleColumns) -> Phrase | None:
    """Return in which other hold the same rows stand; None where in none, or where they came live.

    Parameters
    ----------
    book
        The record.
    hold
        The attempt.
    samples
        Its fed readings.
    """
    if hold.began_ms is None or len(samples.elapsed_s) < FEWEST_ROWS:
        return None
    for entry in book.entries_of_kind(HoldStarted.KIND):
        other = entry.payload
        if not isinstance(other, HoldStarted) or other.series == hold.series:
            continue
        last = book.log.last_sample(other.series)
        if last is None or last.elapsed_s != samples.elapsed_s[-1] or last.pressure_pa != samples.pressure_pa[-1]:
            continue
        if _same(samples, book.log.samples(other.series)):
            name = braced(clip(book.build(entry.build).name))
            said = f"The same rows were read in hold {other.attempt} of {name}: one of the two is not this loop's file."
            return Phrase("rows_seen_before", said)
    return None


def _same(one: SampleColumns, other: SampleColumns) -> bool:
    return all(
        _equal(a, b)
        for a, b in (
            (one.elapsed_s, other.elapsed_s),
            (one.pressure_pa, other.pressure_pa),
            (one.air_k, other.air_k),
            (one.barometer_pa, other.barometer_pa),
        )
    )


def _equal(one: Sequence[float], other: Sequence[float]) -> bool:
    """Return whether two columns hold the same; what was not read in either is the same."""
    if len(one) != len(other):
        return False
    return all(a == b or (a != a and b != b) for a, b in zip(one, other, strict=True))  # noqa: PLR0124 - only NaN is not itself
