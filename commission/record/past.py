"""Past work that is written up now: its moment, its order among what was done, and what each verdict on it says."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from commission.base.clock import ClockMark
from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Phrase
from commission.record.build_state import BuildState, StageRun
from commission.record.done_at import OLDEST_S, done_ms, wall_mark
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
from commission.record.ports import Clock
from commission.record.taken_back import with_spared
from commission.record.unknown import Unknown

TAKEN_OVER = Phrase("taken_over", "Taken over from notes or a file; this program did not see it happen.")
"""Says of a verdict that what it rests on was written down later than it was done."""

RESTARTED = Phrase("restarted", "The computer was restarted on the way: only its wall clock counts.")
"""Says of a verdict that its times hang on a clock that somebody may have set."""

OWN_PROCEDURE = Phrase("own_procedure", "Judged by a procedure of its own, not by the one that ships.")
"""Says of a verdict that somebody changed the locks or the limits; ``show`` tells which."""

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


class Past:
    """The moment at which what is recorded now was done.

    Parameters
    ----------
    clock
        The clocks.
    registry
        The stages.
    entries, build
        Return the entries of a build, and its state, by its id.
    own
        Returns in what the procedure of a build is none that ships.
    """

    def __init__(
        self,
        clock: Clock,
        registry: Registry,
        entries: Callable[[str], Sequence[Logged]],
        build: Callable[[str], BuildState],
        own: Callable[[BuildState], Sequence[str]],
    ) -> None:
        self._clock = clock
        self._registry = registry
        self._entries = entries
        self._build = build
        self._own = own
        self._begins = False
        self.at_ms: int | None = None
        """When what is recorded now was done, where that is written up later [ms since 1970 UTC]; None: now."""

    @contextmanager
    def written_up(self, at_ms: int, *, begins: bool = False) -> Iterator[None]:
        """Take what is recorded meanwhile as done at an earlier moment, and written down now.

        Parameters
        ----------
        at_ms
            When it was done [ms since 1970 UTC].
        begins
            Whether it begins work, which may then be older than the record of the build.

        Raises
        ------
        NotAllowed
            If it lies after now or more than a year ago; while it lasts, if it lies before what was done last.
        """
        now_ms = self._clock.now().wall_ms
        if at_ms > now_ms:
            raise NotAllowed("that time lies after now; correct it, or leave it out")
        if at_ms < now_ms - 1000 * OLDEST_S:
            raise NotAllowed("that time lies more than a year ago; correct it")
        self.at_ms, self._begins = at_ms, begins
        try:
            yield
        finally:
            self.at_ms, self._begins = None, False

    def moment(self) -> ClockMark:
        """Return the clocks at which what is recorded now was done: now, or an earlier moment."""
        now = self._clock.now()
        return now if self.at_ms is None else wall_mark(self.at_ms, now.offset_min)

    def done_ms(self, build_id: str, payload: Payload) -> int | None:
        """Return when what is written up was done [ms since 1970 UTC]; None where it is done now, or only described.

        Raises
        ------
        NotAllowed
            If that lies before what was done last.
        """
        if self.at_ms is None or not is_deed(self._registry, payload):
            return None
        entries, gone = self._entries(build_id), self._build(build_id).withdrawn
        refuse_out_of_order(self._registry, entries, gone, self.at_ms, begins=self._begins)
        return self.at_ms

    def saying_so(self, reasons: tuple[Phrase, ...], state: BuildState, run: StageRun) -> tuple[Phrase, ...]:
        """Return the reasons of a verdict, which say so if it was written up later or its procedure ships nowhere.

        They tell what took the worth of the attempt and was withdrawn, too.
        """
        told = with_spared(reasons, run.spared)
        said = saying_so(told) if run.written_up or self.at_ms is not None else told
        return (*said, *self.of_own(state))

    def of_own(self, state: BuildState) -> tuple[Phrase, ...]:
        """Return what every verdict of a build says whose procedure is none that ships."""
        return (OWN_PROCEDURE,) if self._own(state) else ()
