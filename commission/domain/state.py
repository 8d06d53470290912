"""What the entries add up to: pure folds, computed anew whenever they are asked for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import assert_never

from commission.domain.attempt import HoldAttempt, timed
from commission.domain.entries import (
    BuildOpened,
    CautionAcknowledged,
    CautionsPrinted,
    FindingCured,
    FindingRaised,
    HoldClosed,
    HoldExtended,
    HoldPlanned,
    HoldStarted,
    InstrumentAdded,
    InstrumentRetired,
    NoteAdded,
    OperatorNamed,
    PartAdded,
    PartRemoved,
    ProcedureAdopted,
    ReadingTaken,
    SessionOpened,
    StageOverridden,
    StepDone,
    VolumeMeasured,
    Withdrawn,
)
from commission.domain.instrument import Instrument
from commission.domain.logged import Logged, Problem
from commission.domain.loop import LoopVolume, volume_from_parts
from commission.domain.parts import Part
from commission.domain.verdict import Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopState:
    """What the workshop shares among its builds."""

    operator: str = ""
    """Who works; empty until somebody was named."""
    instruments: tuple[Instrument, ...] = ()
    """Instruments in use."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A fault, what was done about it, and whether a retest proved the cure."""

    raised: FindingRaised
    """What was found."""
    seq: int
    """Number of the entry that raised it."""
    cure: str = ""
    """What was done; empty until something was."""
    proved_by: int | None = None
    """The later attempt that passed; None until one did."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildState:
    """One build as its entries tell it."""

    build_id: str
    """Its id."""
    name: str = ""
    """What the builder calls it."""
    procedure: str = ""
    """Digest of the procedure it is judged by."""
    parts: tuple[Part, ...] = ()
    """Parts of its loop, in the order in which they were fitted."""
    measured: LoopVolume | None = None
    """The volume as last measured on air; None where it was not, or where parts were changed since."""
    holds: tuple[HoldAttempt, ...] = ()
    """All attempts at the pressure hold, in order."""
    findings: tuple[Finding, ...] = ()
    """All findings, in order."""
    overridden: dict[str, str] = field(default_factory=dict)
    """Stages whose lock was overridden, and why."""
    notes: tuple[str, ...] = ()
    """Notes, in order."""
    withdrawn: frozenset[int] = frozenset()
    """Numbers of the entries that no longer count."""
    problems: tuple[Problem, ...] = ()
    """Entries that do not fit, and why."""
    last: Logged | None = None
    """The last entry of the build."""

    @property
    def volume(self) -> LoopVolume | None:
        """The loop's volume: measured on air where it was, else the sum of the parts."""
        return self.measured or volume_from_parts(self.parts)

    @property
    def hold(self) -> HoldAttempt:
        """The attempt that is being prepared or runs, or a fresh one after the last was closed."""
        if self.holds and self.holds[-1].closed is None:
            return self.holds[-1]
        return HoldAttempt(attempt=len(self.holds) + 1)

    @property
    def judged_hold(self) -> HoldAttempt | None:
        """The last attempt that was ended and judged."""
        closed = [hold for hold in self.holds if hold.closed is not None]
        return closed[-1] if closed else None

    @property
    def open_findings(self) -> tuple[Finding, ...]:
        """Findings without a cure."""
        return tuple(finding for finding in self.findings if not finding.cure)


def withdrawn_numbers(entries: Iterable[Logged]) -> frozenset[int]:
    """Return the numbers of the entries that were withdrawn."""
    return frozenset(entry.payload.target for entry in entries if isinstance(entry.payload, Withdrawn))


def fold_shop(entries: Sequence[Logged]) -> ShopState:
    """Return the shared state from the shared entries, in order."""
    gone = withdrawn_numbers(entries)
    operator = ""
    instruments: dict[str, Instrument] = {}
    for entry in entries:
        if entry.seq in gone:
            continue
        match entry.payload:
            case OperatorNamed(name=name):
                operator = name
            case InstrumentAdded(instrument=instrument):
                instruments[instrument.instrument_id] = instrument
            case InstrumentRetired(instrument_id=instrument_id):
                instruments.pop(instrument_id, None)
            case _:
                pass
    return ShopState(operator=operator, instruments=tuple(instruments.values()))


def fold_build(build_id: str, entries: Sequence[Logged]) -> BuildState:
    """Return the state of a build from its entries, in order; withdrawn ones stay but do not count."""
    gone = withdrawn_numbers(entries)
    state = BuildState(build_id=build_id, withdrawn=gone)
    for entry in entries:
        if entry.seq not in gone:
            state = _apply(state, entry)
        state = replace(state, last=entry)
    return state


def _apply(state: BuildState, entry: Logged) -> BuildState:  # noqa: C901, PLR0911 - one arm a kind of entry
    match entry.payload:
        case BuildOpened(name=name, procedure=digest):
            return replace(state, name=name, procedure=digest)
        case PartAdded(part=part):
            return _loop_changed(replace(state, parts=(*state.parts, part)), entry.seq)
        case PartRemoved(part_id=part_id):
            parts = tuple(part for part in state.parts if part.part_id != part_id)
            return _loop_changed(replace(state, parts=parts), entry.seq)
        case VolumeMeasured(volume_m3=volume, u_volume_m3=u):
            return replace(state, measured=LoopVolume(volume_m3=volume, u_volume_m3=u, basis="measured on air"))
        case (
            CautionAcknowledged()
            | CautionsPrinted()
            | StepDone()
            | HoldPlanned()
            | HoldStarted()
            | ReadingTaken()
            | HoldExtended()
            | HoldClosed()
        ):
            return _apply_hold(state, entry)
        case FindingRaised() as raised:
            return replace(state, findings=(*state.findings, Finding(raised=raised, seq=entry.seq)))
        case FindingCured(finding_id=finding_id, cure=cure):
            findings = tuple(replace(f, cure=cure) if f.raised.finding_id == finding_id else f for f in state.findings)
            return replace(state, findings=findings)
        case StageOverridden(stage=stage, reason=reason):
            return replace(state, overridden={**state.overridden, stage: reason})
        case NoteAdded(text=text):
            return replace(state, notes=(*state.notes, text))
        case Withdrawn(target=target):
            return _withdrawn(state, target, entry.seq)
        case SessionOpened() | OperatorNamed() | InstrumentAdded() | InstrumentRetired() | ProcedureAdopted():
            return _problem(state, entry.seq, f'"{entry.payload.KIND}" belongs to the workshop, not to a build')
        case _ as unreachable:
            assert_never(unreachable)


def _apply_hold(state: BuildState, entry: Logged) -> BuildState:  # noqa: C901 - one arm a kind of entry
    hold = state.hold
    payload = entry.payload
    if getattr(payload, "attempt", hold.attempt) != hold.attempt:
        return _problem(state, entry.seq, f"it speaks of an attempt that is not at hand (that is {hold.attempt})")
    match payload:
        case CautionAcknowledged(caution=caution):
            hold = replace(hold, acknowledged=hold.acknowledged | {caution})
        case CautionsPrinted(cautions=cautions):
            hold = replace(hold, printed=hold.printed | set(cautions))
        case StepDone(step=step):
            hold = replace(hold, steps=(*hold.steps, step))
        case HoldPlanned(plan=plan):
            hold = replace(hold, plan=plan)
        case HoldStarted(plan=plan):
            hold = replace(hold, plan=plan, started=entry)
        case ReadingTaken() if hold.started is None:
            return _problem(state, entry.seq, "a reading before the hold was started")
        case ReadingTaken():
            assert hold.started is not None  # the arm above took the other case
            hold = replace(hold, readings=(*hold.readings, timed(hold.started, entry, payload)))
        case HoldExtended(hold_s=hold_s) if hold.plan is not None:
            hold = replace(hold, plan=replace(hold.plan, hold_s=hold_s), looks=hold.looks + 1)
        case HoldClosed():
            hold = replace(hold, closed=entry)
        case _:
            return _problem(state, entry.seq, f'"{payload.KIND}" does not fit here')
    state = replace(state, holds=(*(h for h in state.holds if h.attempt != hold.attempt), hold))
    return _proved(state, hold) if hold.closed is not None else state


def _proved(state: BuildState, hold: HoldAttempt) -> BuildState:
    """Mark cured findings as proved where the attempt passed."""
    if hold.verdict_entry is None or hold.verdict_entry.verdict.outcome is not Outcome.PASS:
        return state
    findings = tuple(
        replace(f, proved_by=hold.attempt) if f.cure and f.proved_by is None else f for f in state.findings
    )
    return replace(state, findings=findings)


def _loop_changed(state: BuildState, seq: int) -> BuildState:
    """Another loop: what was measured and held before no longer speaks of it."""
    holds = tuple(
        replace(hold, stale_by=hold.stale_by or seq) if hold.closed is not None else hold for hold in state.holds
    )
    return replace(state, holds=holds, measured=None)


def _withdrawn(state: BuildState, target: int, seq: int) -> BuildState:
    """Mark a verdict as stale where an entry that it may rest on was withdrawn after it."""
    holds = tuple(
        replace(hold, stale_by=hold.stale_by or seq)
        if hold.closed is not None and target < hold.closed.seq < seq
        else hold
        for hold in state.holds
    )
    return replace(state, holds=holds)


def _problem(state: BuildState, seq: int, message: str) -> BuildState:
    return replace(state, problems=(*state.problems, Problem(seq=seq, message=message)))
