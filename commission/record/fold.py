"""What the entries add up to: pure folds over the entries in order, and over those that are new."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import assert_never

from commission.base.frozen import dataclass
from commission.base.verdict import Outcome
from commission.record.build_state import HOLD, BuildState, Finding
from commission.record.entries import (
    BuildOpened,
    CautionAcknowledged,
    CautionsPrinted,
    FindingCured,
    FindingRaised,
    InstrumentAdded,
    InstrumentRetired,
    NoteAdded,
    OperatorNamed,
    ProcedureAdopted,
    SessionOpened,
    StageOverridden,
    StepDone,
    Withdrawn,
)
from commission.record.logged import Logged, Problem
from commission.record.machine.instrument import Instrument
from commission.record.machine.loop import LoopVolume
from commission.record.series_entries import SeriesHeaded, SeriesSealed
from commission.record.staleness import loop_at_fault, loop_changed, put_run, withdrawn_before
from commission.stages.bleed.entries import AirSqueezed, BleedClosed, BleedCycleDone, BleedStarted
from commission.stages.bleed.state import apply_bleed
from commission.stages.build_sheet.entries import PartAdded, PartLeftOut, PartRated, PartRemoved, VolumeMeasured
from commission.stages.fan_headers.entries import (
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    DutyNoted,
    HeaderAdded,
    HeaderRemoved,
    HeadersClosed,
    HeaderSet,
    LayoutChosen,
    LevelSwept,
    SweepAborted,
    SweepBegun,
    SweepTaken,
)
from commission.stages.fill.entries import (
    BottleAdded,
    BottleRetired,
    CoolantDrained,
    CoolantDrawn,
    CoolantPoured,
    CoolantSpilled,
    FillClosed,
    LevelRead,
    PumpSupplyChosen,
    ReservoirDescribed,
    WaterLost,
)
from commission.stages.fill.model.coolant import Bottle
from commission.stages.fill.state import apply_fill
from commission.stages.first_power.entries import (
    CableTested,
    FirstPowerClosed,
    JointLooked,
    MachineStarted,
    PowerFaultMended,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    WetWatchEnded,
)
from commission.stages.first_power.state.fold import apply_power_entry, ladder_at_fault, machine_cured, power_taken_back
from commission.stages.pressure_hold.entries import (
    HoldClosed,
    HoldExtended,
    HoldPlanned,
    HoldStarted,
    PressureLetDown,
    ReadingTaken,
    SourceIsolated,
)
from commission.stages.pressure_hold.state.attempt import HoldAttempt, timed
from commission.stages.pressure_hold.state.before_pressure import apply_bench

__all__ = ["BuildState", "Finding", "ShopState", "fold_build", "fold_further", "fold_shop", "withdrawn_numbers"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopState:
    """What the workshop shares among its builds."""

    operator: str = ""
    """Who works; empty until somebody was named."""
    instruments: tuple[Instrument, ...] = ()
    """Instruments in use."""
    bottles: tuple[Bottle, ...] = ()
    """Bottles in use."""


def withdrawn_numbers(entries: Iterable[Logged]) -> frozenset[int]:
    """Return the numbers of the entries that were withdrawn."""
    return frozenset(entry.payload.target for entry in entries if isinstance(entry.payload, Withdrawn))


def fold_shop(entries: Sequence[Logged]) -> ShopState:
    """Return the shared state from the shared entries, in order."""
    gone = withdrawn_numbers(entries)
    operator = ""
    instruments: dict[str, Instrument] = {}
    bottles: dict[str, Bottle] = {}
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
            case BottleAdded(bottle=bottle):
                bottles[bottle.bottle_id] = bottle
            case BottleRetired(bottle_id=bottle_id):
                bottles.pop(bottle_id, None)
            case _:
                pass
    return ShopState(operator=operator, instruments=tuple(instruments.values()), bottles=tuple(bottles.values()))


def fold_build(build_id: str, entries: Sequence[Logged]) -> BuildState:
    """Return the state of a build from its entries, in order; withdrawn ones stay but do not count."""
    gone = {entry.payload.target: entry for entry in entries if isinstance(entry.payload, Withdrawn)}
    state = BuildState(build_id=build_id, withdrawn=frozenset(gone))
    for entry in entries:
        if entry.seq in gone:
            state = replace(power_taken_back(state, entry, gone[entry.seq]), last=entry)
        else:
            state = _apply_entry(state, entry)
    return state


def fold_further(state: BuildState, entries: Sequence[Logged], new: Sequence[Logged]) -> BuildState:
    """Return what ``fold_build`` makes of all entries, where a state knows them up to the new ones.

    Parameters
    ----------
    state
        The fold of the entries before the new ones.
    entries
        All entries of the build, in order, the new ones at the end.
    new
        The new ones. Where one withdraws, or was withdrawn before it came, all is folded anew: what was withdrawn must
        be folded away as if it had never been.
    """
    if any(isinstance(entry.payload, Withdrawn) or entry.seq in state.withdrawn for entry in new):
        return fold_build(state.build_id, entries)
    for entry in new:
        state = _apply_entry(state, entry)
    return state


def _apply_entry(state: BuildState, entry: Logged) -> BuildState:
    return replace(_apply(state, entry), last=entry)


def _apply(state: BuildState, entry: Logged) -> BuildState:  # noqa: C901, PLR0911, PLR0912 - one arm a kind of entry
    match entry.payload:
        case BuildOpened(name=name, procedure=digest):
            return replace(state, name=name, procedure=digest)
        case PartAdded(part=part):
            return loop_changed(replace(state, parts=(*state.parts, part)), entry.seq)
        case PartRemoved(part_id=part_id):
            parts = tuple(part for part in state.parts if part.part_id != part_id)
            return loop_changed(replace(state, parts=parts), entry.seq)
        case VolumeMeasured(volume_m3=volume, u_volume_m3=u):
            return replace(state, measured=LoopVolume(volume_m3=volume, u_volume_m3=u, basis="measured on air"))
        case CautionAcknowledged() | CautionsPrinted() | StepDone() if payload_stage(entry) != HOLD:
            return _apply_progress(state, entry)
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
        case PressureLetDown(attempt=attempt):
            holds = tuple(replace(h, let_down=True) if h.attempt == attempt else h for h in state.holds)
            return replace(state, holds=holds)
        case FindingRaised() as raised:
            state = replace(state, findings=(*state.findings, Finding(raised=raised, seq=entry.seq)))
            return (
                ladder_at_fault(state, raised, entry.seq) if raised.stage != HOLD else loop_at_fault(state, entry.seq)
            )
        case FindingCured(finding_id=finding_id, cure=cure):
            findings = tuple(replace(f, cure=cure) if f.raised.finding_id == finding_id else f for f in state.findings)
            return machine_cured(replace(state, findings=findings), finding_id, cure)
        case StageOverridden(stage=stage, reason=reason):
            return replace(state, overridden={**state.overridden, stage: reason})
        case NoteAdded(text=text):
            return replace(state, notes=(*state.notes, text))
        case Withdrawn(target=target):
            return withdrawn_before(state, target, entry.seq)
        case (
            CoolantPoured()
            | CoolantDrained()
            | CoolantSpilled()
            | CoolantDrawn()
            | WaterLost()
            | ReservoirDescribed()
            | LevelRead()
            | FillClosed()
            | PumpSupplyChosen()
        ) as coolant:
            return apply_fill(state, entry, coolant)
        case (BleedStarted() | BleedCycleDone() | AirSqueezed() | BleedClosed()) as bleed:
            return apply_bleed(state, entry, bleed)
        case (
            HeaderAdded()
            | HeaderSet()
            | HeaderRemoved()
            | ChainAdded()
            | ChainRemoved()
            | ChainMoved()
            | SupplyDescribed()
            | CableTested()
            | RailsRead()
            | PowerFaultMended()
            | PumpStarted()
            | JointLooked()
            | WetWatchEnded()
            | MachineStarted()
            | FirstPowerClosed()
            | SweepBegun()
            | LevelSwept()
            | SweepTaken()
            | SweepAborted()
            | LayoutChosen()
            | DutyNoted()
            | HeadersClosed()
        ) as power:
            return apply_power_entry(state, entry, power)
        case (SourceIsolated() | PartRated() | PartLeftOut()) as bench:
            return apply_bench(state, entry, bench)
        case (
            SessionOpened()
            | OperatorNamed()
            | InstrumentAdded()
            | InstrumentRetired()
            | ProcedureAdopted()
            | BottleAdded()
            | BottleRetired()
            | SeriesHeaded()
            | SeriesSealed()
        ):
            return _problem(state, entry.seq, f'"{entry.payload.KIND}" belongs to the workshop, not to a build')
        case _ as unreachable:
            assert_never(unreachable)


def payload_stage(entry: Logged) -> str:
    """Return the stage that an entry names, or an empty text."""
    return str(getattr(entry.payload, "stage", ""))


def _apply_progress(state: BuildState, entry: Logged) -> BuildState:
    """Cautions and steps of the stages that have no readings of their own."""
    stage = payload_stage(entry)
    run = state.run(stage)
    match entry.payload:
        case CautionAcknowledged(caution=caution):
            run = replace(run, acknowledged=run.acknowledged | {caution})
        case CautionsPrinted(cautions=cautions):
            run = replace(run, printed=run.printed | set(cautions))
        case StepDone(step=step):
            run = replace(run, steps=(*run.steps, step))
        case _:
            return _problem(state, entry.seq, f'"{entry.payload.KIND}" does not fit here')
    return put_run(state, stage, run)


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
        replace(f, proved_by=hold.attempt) if f.raised.stage == HOLD and f.cure and f.proved_by is None else f
        for f in state.findings
    )
    return replace(state, findings=findings)


def _problem(state: BuildState, seq: int, message: str) -> BuildState:
    return replace(state, problems=(*state.problems, Problem(seq=seq, message=message)))
