"""When a thing was done, beside when it was written down: the two differ where past work is written up later.

An entry has both: the clocks when it was written (``mark``) and, where it was done earlier, when (``observed_ms``).
"""

from collections.abc import Sequence

from commission.base.clock import ClockMark
from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Phrase
from commission.record.build_state import BuildState
from commission.record.entries import (
    BuildBroughtBack,
    BuildOpened,
    BuildPutAway,
    CautionAcknowledged,
    CautionsPrinted,
    NoteAdded,
    ReportIssued,
    StageOverridden,
    StepDone,
    Withdrawn,
)
from commission.record.face import Registry
from commission.record.logged import Logged
from commission.record.payload import Payload, kind_shown
from commission.record.unknown import Unknown

TAKEN_OVER = Phrase("taken_over", "Taken over from notes or a file; this program did not see it happen.")
"""Says of a verdict that what it rests on was written down later than it was done."""

PAPER = (
    BuildOpened,
    BuildPutAway,
    BuildBroughtBack,
    CautionAcknowledged,
    CautionsPrinted,
    NoteAdded,
    ReportIssued,
    StageOverridden,
    Withdrawn,
    Unknown,
)
"""Kinds of no stage that are about the record, and are done when they are written."""

OLDEST_S = 366 * 86_400.0
"""What was done longer ago is not written up [s]; our choice: seals set within a year, and a clock that nobody set
says 1970 or 2000."""


def done_ms(entry: Logged) -> int:
    """Return when something was done: as said, or else when it was written down [ms since 1970 UTC]."""
    if entry.observed_ms is not None:
        return entry.observed_ms
    began = getattr(entry.payload, "began_ms", None)  # a hold of a logger's file says itself when it began
    return began if isinstance(began, int) else entry.mark.wall_ms


def done_mark(entry: Logged) -> ClockMark:
    """Return the clocks when something was done: of what was written up later only a wall clock is known."""
    return entry.mark if entry.observed_ms is None else wall_mark(entry.observed_ms, entry.mark.offset_min)


def wall_mark(wall_ms: int, offset_min: int) -> ClockMark:
    """Return a moment of which only the wall clock is known."""
    return ClockMark(wall_ms=wall_ms, offset_min=offset_min, mono_ms=0)


def is_deed(registry: Registry, payload: Payload) -> bool:
    """Return whether a kind of entry has a time when it was done: it is no description, and not about the record."""
    face = registry.of(payload)
    return not isinstance(payload, PAPER if face is None else face.described)


def refuse_out_of_order(
    registry: Registry, entries: Sequence[Logged], withdrawn: frozenset[int], at_ms: int, *, begins: bool
) -> None:
    """Refuse a time that cannot be that of the next thing done to a build.

    Parameters
    ----------
    registry
        The stages.
    entries, withdrawn
        All entries of the build, and the numbers of those that do not count.
    at_ms
        When it is said to be done [ms since 1970 UTC].
    begins
        Whether it is said to begin work, which may then be older than the record of the build.

    Raises
    ------
    NotAllowed
        If it lies before what was done last, or before the build was opened and nothing is said to begin then.
    """
    done = [one for one in entries if one.seq not in withdrawn and is_deed(registry, one.payload)]
    last = max(done, key=lambda one: (done_ms(one), one.seq), default=None)
    if last is not None and done_ms(last) > at_ms:
        raise NotAllowed(
            f'that time lies before entry {last.seq} ("{kind_shown(last.payload)}"); things are written down in the '
            "order in which they were done. Correct the time"
        )
    older = last is not None and min(map(done_ms, done)) < entries[0].mark.wall_ms
    if entries and at_ms < entries[0].mark.wall_ms and not (begins or older):
        raise NotAllowed(
            "that time lies before the build was opened; work that began before is begun with --began and its time"
        )


def marked(registry: Registry, state: BuildState, entry: Logged) -> BuildState:
    """Mark the attempt that an entry belongs to as written up later, where the entry was."""
    if entry.observed_ms is None:
        return state
    face = registry.of(entry.payload)
    stage = entry.payload.stage if isinstance(entry.payload, StepDone) else "" if face is None else face.id
    runs = state.runs.get(stage, ())
    if not runs or runs[-1].written_up or (runs[-1].closed is not None and runs[-1].closed.seq != entry.seq):
        return state
    last = replace(runs[-1], written_up=True)
    return replace(state, runs={**state.runs, stage: (*runs[:-1], last)})


def saying_so(reasons: tuple[Phrase, ...]) -> tuple[Phrase, ...]:
    """Return the reasons of a verdict that rests on what was written up later: they say so, once, at the end."""
    return reasons if any(one.code == TAKEN_OVER.code for one in reasons) else (*reasons, TAKEN_OVER)
