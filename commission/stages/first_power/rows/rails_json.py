"""The verdict on the voltages of a supply as plain data for programs: one JSON object on one line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.verdict import Outcome
from commission.stages.first_power.model.rails import PlugKind, Rail, Revision

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from commission.base.quantity import Phrase
    from commission.stages.first_power.model.rails import RailRow, RailsVerdict


class JudgedRail(Frozen):
    """One voltage with its window."""

    plug: str
    """Where it was read."""
    connector: PlugKind
    """What kind of plug."""
    rail: Rail
    """Which voltage."""
    raw: str
    """The reading with all its digits, as it was written."""
    volt: float
    """The same as a number [V]."""
    loaded: bool
    """Whether the supply was under load."""
    low_v: float
    """Lowest that is within the window [V]."""
    high_v: float
    """Highest that is within the window [V]."""
    source: str
    """Where the window comes from."""
    outcome: Outcome
    """Pass, fail, or inconclusive where the meter's own error reaches over an edge."""


class JudgedRails(Frozen):
    """What the voltages of one file prove."""

    file: str
    """The file as it was named; ``-`` for standard input."""
    outcome: Outcome
    """Pass, fail or inconclusive."""
    revision: Revision
    """The guide that they were judged by."""
    meter_error_v: float
    """Largest error of the meter [V]; 0 where the file states none."""
    readings: tuple[JudgedRail, ...]
    """Every voltage in the order of the file."""
    reasons: tuple[str, ...]
    """Why, in plain words; the one that decided comes first."""
    remarks: tuple[str, ...]
    """What else was seen, such as a plug that sags; then what was asked for against what the file says."""


def judged_rails(
    file: str,
    verdict: RailsVerdict,
    said: Callable[[Phrase], str],
    *,
    meter_error_v: float,
    notes: Iterable[str] = (),
) -> JudgedRails:
    """Return a verdict as plain data.

    Parameters
    ----------
    file
        The file as it was named.
    said
        Returns a phrase as a sentence.
    meter_error_v
        Largest error of the meter [V].
    notes
        What was asked for against what the file says, each as a sentence.
    """
    return JudgedRails(
        file=file,
        outcome=verdict.outcome,
        revision=verdict.revision,
        meter_error_v=meter_error_v,
        readings=tuple(map(_rail, verdict.rows)),
        reasons=tuple(map(said, verdict.reasons)),
        remarks=(*map(said, verdict.findings), *notes),
    )


def _rail(row: RailRow) -> JudgedRail:
    reading, window = row.reading, row.window
    return JudgedRail(
        plug=reading.plug,
        connector=reading.kind,
        rail=reading.rail,
        raw=reading.typed,
        volt=reading.volt,
        loaded=reading.loaded,
        low_v=window.low_v,
        high_v=window.high_v,
        source=window.source,
        outcome=row.outcome,
    )
