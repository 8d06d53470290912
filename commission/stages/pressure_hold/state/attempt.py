"""One attempt at a pressure hold, as the log tells it."""

from commission.base.clock import ClockMark, Elapsed, Timing, elapsed_between
from commission.base.frozen import Frozen
from commission.procedure.stage_ids import HOLD
from commission.record.build_state import BuildState, StageRun
from commission.record.logged import Logged
from commission.stages.pressure_hold.entries import (
    HoldClosed,
    HoldPlan,
    HoldStarted,
    ReadingTaken,
    Rig,
    RowNoted,
    SourceOff,
)
from commission.stages.pressure_hold.state.search import Search


class TimedReading(Frozen):
    """A typed reading with its place in the hold."""

    seq: int
    """Number of its entry."""
    elapsed: Elapsed
    """Time since the hold began."""
    reading: ReadingTaken
    """What was read."""
    typed: ClockMark
    """The clocks when it was typed."""


class HoldAttempt(StageRun):
    """Everything the log says of one attempt."""

    plan: HoldPlan | None = None
    """The plan; None until there is one."""
    planned_seq: int = 0
    """Number of the entry that planned it; 0 before."""
    rig: Rig = Rig.VALVED
    """How pump, valve and gauge are joined to the loop."""
    source: SourceOff | None = None
    """How the source was kept from feeding the loop; None where nobody said."""
    readings: tuple[TimedReading, ...] = ()
    """Typed readings that count, in the order of the log."""
    refused_s: float | None = None
    """Where rows of its file were refused, for they lay after now [s after the start]; None where none were."""
    noted: tuple[RowNoted, ...] = ()
    """What its fed tables said beside their readings."""
    rows_gone: frozenset[int] = frozenset()
    """Places of fed rows that were withdrawn, from 1."""
    looks: int = 1
    """How many planned ends it was or will be judged at: one more with each extension."""
    let_down: bool = False
    """Whether the pressure was let down after it and after each try since, and the gauge seen at zero."""
    search: Search | None = None
    """The search for its leak by parting off the loop; None where none was begun."""

    @property
    def began_ms(self) -> int | None:
        """When it began, where its readings are taken over from a file [ms since 1970 UTC]; None where they are not."""
        return self.started.payload.began_ms if self.started and isinstance(self.started.payload, HoldStarted) else None

    @property
    def begun_plan(self) -> HoldPlan | None:
        """The plan as it began, before any extension; None before the start."""
        return self.started.payload.plan if self.started and isinstance(self.started.payload, HoldStarted) else None

    @property
    def ahead_s(self) -> float:
        """How long it had been going when its start was recorded [s]; 0 where it was started live."""
        if self.started is None or self.began_ms is None:
            return 0.0
        return (self.started.mark.wall_ms - self.began_ms) / 1000

    @property
    def series(self) -> str:
        """Name of the series of its streamed samples; empty before the start."""
        return self.started.payload.series if self.started and isinstance(self.started.payload, HoldStarted) else ""

    @property
    def left_out(self) -> tuple[str, ...]:
        """Names of the parts that were left out of the test when it started."""
        return self.started.payload.left_out if self.started and isinstance(self.started.payload, HoldStarted) else ()

    @property
    def verdict_entry(self) -> HoldClosed | None:
        """What ended and judged it; None while it runs."""
        return self.closed.payload if self.closed and isinstance(self.closed.payload, HoldClosed) else None

    @property
    def end_s(self) -> float | None:
        """Time after the start at which the hold is to be judged [s]; None without a plan."""
        return None if self.plan is None else self.plan.hold_s + (self.plan.settle_s or 0.0)


def holds_of(state: BuildState) -> tuple[HoldAttempt, ...]:
    """Return all attempts of a build, in order."""
    return tuple(run for run in state.runs.get(HOLD, ()) if isinstance(run, HoldAttempt))


def hold_of(state: BuildState) -> HoldAttempt:
    """Return the attempt that is being prepared or runs, or a fresh one after the last was closed."""
    run = state.run(HOLD)
    return run if isinstance(run, HoldAttempt) else HoldAttempt(attempt=run.attempt)


def judged_hold(state: BuildState) -> HoldAttempt | None:
    """Return the last attempt that was ended and judged, or None."""
    run = state.judged_run(HOLD)
    return run if isinstance(run, HoldAttempt) else None


def search_under_pressure(state: BuildState) -> bool:
    """Return whether the loop was pumped up in a leak search and not vented since, by the record."""
    judged = judged_hold(state)
    return judged is not None and judged.search is not None and not judged.let_down


def timed(started: Logged, entry: Logged, reading: ReadingTaken) -> TimedReading:
    """Place a reading in its hold; one that was typed in later counts from when it was seen."""
    if entry.observed_ms is None:
        elapsed = elapsed_between(started.mark, entry.mark)
    else:
        elapsed = Elapsed(
            elapsed_s=(entry.observed_ms - started.mark.wall_ms) / 1000,
            timing=Timing.WALL_CLOCK,
            wall_step_s=0.0,
            restarted=False,
        )
    return TimedReading(seq=entry.seq, elapsed=elapsed, reading=reading, typed=entry.mark)


def wet_by_the_record(state: BuildState, before: int | None = None) -> bool:
    """Return whether coolant was moved since the loop was last held on air, by a hold begun before an entry."""
    starts = [hold.started.seq for hold in holds_of(state) if hold.started is not None]
    last = max((seq for seq in starts if before is None or seq < before), default=0)
    return any(entry.seq > last for entry in state.wetted)


def wet_at_start(state: BuildState, hold: HoldAttempt) -> bool:
    """Return whether coolant was moved between the hold before and the start of this one."""
    if hold.started is None:
        return False
    begun = hold.started.seq
    last = max((one.started.seq for one in holds_of(state) if one.started and one.started.seq < begun), default=0)
    return any(last < entry.seq < begun for entry in state.wetted)
