"""What each kind of entry needs before it; the same as its use case refuses, as far as every released version did."""

from __future__ import annotations

from commission.base.errors import NotAllowed
from commission.procedure.model import Procedure, When
from commission.procedure.stage_ids import BLEED
from commission.record.build_state import HOLD, BuildState, ShopState
from commission.record.entries import (
    CautionAcknowledged,
    CautionsPrinted,
    FindingCured,
    FindingRaised,
    InstrumentAdded,
    InstrumentRetired,
    OperatorNamed,
    StageOverridden,
    StepDone,
    Withdrawn,
)
from commission.record.logbook import checked_name, name_key, refuse_instrument
from commission.record.logged import Logged
from commission.record.payload import Payload
from commission.stages.bleed.entries import BleedClosed, BleedCycleDone
from commission.stages.build_sheet.entries import PartAdded, PartLeftOut, PartRated, PartRemoved, VolumeMeasured
from commission.stages.build_sheet.work import refuse_part, refuse_volume
from commission.stages.fan_headers.entries import (
    ChainMoved,
    ChainRemoved,
    HeaderRemoved,
    HeaderSet,
    LevelSwept,
    SweepBegun,
    SweepTaken,
)
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fill.entries import (
    BottleAdded,
    BottleRetired,
    CoolantDrained,
    CoolantDrawn,
    CoolantPoured,
    CoolantSpilled,
    FillClosed,
    FillEntry,
    movement_of,
)
from commission.stages.fill.model.fill import Dose
from commission.stages.fill.state import FillState
from commission.stages.first_power.entries import JointLooked, WetWatchEnded
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.pressure_hold.entries import (
    HoldClosed,
    HoldExtended,
    HoldPlan,
    HoldPlanned,
    HoldStarted,
    PressureLetDown,
    ReadingTaken,
    SourceIsolated,
)

MOST_COOLANT_M3 = 0.5
"""Most coolant that one entry moves [m3]; our choice: the same as may be typed, a bathtub is no loop."""


def refuse_in_shop(before: ShopState, payload: Payload) -> None:
    """Raise NotAllowed where the workshop would not have taken an entry after those before it."""
    match payload:
        case OperatorNamed(name=name):
            checked_name(name)
        case InstrumentAdded(instrument=instrument):
            others = (one for one in before.instruments if one.instrument_id != instrument.instrument_id)
            taken = {name_key(other.name) for other in others}
            if name_key(checked_name(instrument.name)) in taken:
                raise NotAllowed(f'there is an instrument "{instrument.name}" already')
            refuse_instrument(instrument)
        case BottleAdded(bottle=bottle):
            checked_name(bottle.name)
            if bottle.size_m3 <= 0 or not 0 <= (bottle.fraction or 0.0) <= 1:
                raise NotAllowed(f'the label of the bottle "{bottle.name}" contradicts itself')
        case InstrumentRetired() | BottleRetired() | Withdrawn():
            pass
        case _:
            raise NotAllowed(f'"{payload.KIND}" belongs to a build, not to the workshop')


def refuse_in_build(state: BuildState, procedure: Procedure, entry: Logged) -> None:
    """Raise NotAllowed where a build in this state would not have taken an entry."""
    payload = entry.payload
    _refuse_sheet(state, payload)
    _refuse_hold(state, procedure, entry)
    _refuse_coolant(state, payload)
    _refuse_power(state, payload)
    match payload:
        case CautionAcknowledged(stage=stage) | CautionsPrinted(stage=stage) | StepDone(stage=stage):
            _stage_of(procedure, stage)
        case StageOverridden(stage=stage, reason=reason):
            _stage_of(procedure, stage)
            if not reason.strip():
                raise NotAllowed("an override needs a reason")
        case FindingRaised(note=note) if not note.strip():
            raise NotAllowed("it does not say what was found")
        case FindingCured(finding_id=finding_id, cure=cure):
            if all(finding.raised.finding_id != finding_id for finding in state.findings) or not cure.strip():
                raise NotAllowed("it cures a fault that was never found, or does not say how")
        case _:
            pass


def _stage_of(procedure: Procedure, stage: str) -> None:
    if all(one.id != stage for one in procedure.stages):
        raise NotAllowed(f'the procedure of this build has no stage "{stage[:40]}"')


def _refuse_sheet(state: BuildState, payload: Payload) -> None:
    match payload:
        case PartAdded() | PartRemoved() if state.hold.running:
            raise NotAllowed("a part is added or removed while a hold runs")
        case PartRated() | PartLeftOut() | SourceIsolated() if state.hold.running:
            raise NotAllowed("what comes before the start is changed while a hold runs")
        case PartAdded(part=part):
            refuse_part(part)
        case PartRemoved(part_id=part_id) | PartRated(part_id=part_id) | PartLeftOut(part_id=part_id) if all(
            part.part_id != part_id for part in state.parts
        ):
            raise NotAllowed("the loop has no such part")
        case PartRated(rating=rating) if not rating.si > 0:
            raise NotAllowed("a pressure rating must be above 0")
        case PartLeftOut(reason=reason) if not reason.strip():
            raise NotAllowed("leaving a part out of the test needs a reason")
        case VolumeMeasured(volume_m3=volume, u_volume_m3=u):
            refuse_volume(volume, u)
        case _:
            pass


def _refuse_hold(state: BuildState, procedure: Procedure, entry: Logged) -> None:
    payload, hold = entry.payload, state.hold
    match payload:
        case HoldPlanned() | HoldStarted() if hold.running:
            raise NotAllowed("a hold is planned or started while one runs")
        case HoldPlanned(plan=plan):
            _refuse_plan(plan)
        case HoldStarted(plan=plan):
            _refuse_plan(plan)
            _refuse_start(state, procedure)
        case ReadingTaken() | HoldExtended() | HoldClosed() if not hold.running:
            raise NotAllowed("no hold runs before it")
        case ReadingTaken():
            _refuse_reading(state, entry, payload)
        case HoldExtended(hold_s=hold_s) if hold.plan is None or hold_s <= hold.plan.hold_s:
            raise NotAllowed("an extended hold must be longer than it was planned")
        case PressureLetDown() if state.judged_hold is None:
            raise NotAllowed("no hold was ended before it")
        case _:
            pass


def _refuse_plan(plan: HoldPlan) -> None:
    if not (plan.hold_s > 0 and plan.limit_pa_m3_s > 0 and plan.volume_m3 > 0 and plan.target_gauge_pa > 0):
        raise NotAllowed("limit, time, volume and test pressure must all be above 0")
    if not (plan.gauge.resolution > 0 and plan.gauge.low < plan.gauge.high):
        raise NotAllowed("the gauge of the plan has no step or no range")


def _refuse_start(state: BuildState, procedure: Procedure) -> None:
    hold, stage = state.hold, procedure.stage(HOLD)
    if hold.plan is None:
        raise NotAllowed("the hold has no plan before it")
    seen = hold.acknowledged | hold.printed
    if any(caution.id not in seen for caution in stage.cautions_at(When.BEFORE_PRESSURE)):
        raise NotAllowed("cautions are not answered before it")
    if not hold.printed and any(step.id not in hold.steps for step in stage.steps):
        raise NotAllowed("steps are not done before it")


def _refuse_reading(state: BuildState, entry: Logged, reading: ReadingTaken) -> None:
    started = state.hold.started
    if reading.pressure is None and reading.air is None and reading.barometer is None and not reading.note:
        raise NotAllowed("nothing was read")
    seen = entry.observed_ms
    if started is not None and seen is not None and not started.mark.wall_ms <= seen <= entry.mark.wall_ms:
        raise NotAllowed("it was seen before the start of the hold or after it was entered")


def _refuse_coolant(state: BuildState, payload: Payload) -> None:
    if isinstance(payload, FillEntry) and (moved := movement_of(payload)) is not None:
        _refuse_dose(moved.dose)
    held = state.judged_hold
    match payload:
        case CoolantPoured() | CoolantDrained() | CoolantSpilled() | CoolantDrawn() if state.hold.running:
            raise NotAllowed("coolant moves while the loop is under test pressure")
        case CoolantPoured() if held is not None and not held.let_down:
            raise NotAllowed("coolant is poured before the pressure of the last hold was let down")
        case FillClosed() if not state.of(FillState).moves:
            raise NotAllowed("no coolant was moved before it")
        case BleedCycleDone() | BleedClosed() if not state.run(BLEED).running:
            raise NotAllowed("no bleed was begun before it")
        case BleedCycleDone(cycle=cycle) if cycle.run_s < 0 or cycle.resolution_m3 <= 0:
            raise NotAllowed("its time run is below 0, or its resolution not above 0")
        case BleedCycleDone(pour=pour) if pour is not None:
            _refuse_dose(pour.dose)
        case _:
            pass


def _refuse_dose(dose: Dose) -> None:
    if not (0 <= dose.volume_m3 <= MOST_COOLANT_M3 and min(dose.u_reading_m3, dose.u_shared_m3) >= 0):
        raise NotAllowed(f"it moves {dose.volume_m3:g} m3 of coolant, which cannot be")


def _refuse_power(state: BuildState, payload: Payload) -> None:
    power = state.of(FirstPowerState)
    plugged = state.plugged
    chains = {chain.chain_id for chain in plugged.chains}
    headers = {header.header_id for header in plugged.headers}
    match payload:
        case ChainMoved(chain_id=chain_id) | ChainRemoved(chain_id=chain_id) if chain_id not in chains:
            raise NotAllowed("this build has no such fan chain")
        case HeaderSet(header_id=header_id) | HeaderRemoved(header_id=header_id) if header_id not in headers:
            raise NotAllowed("this build has no such header")
        case ChainMoved(header_id=header_id) if header_id is not None and header_id not in headers:
            raise NotAllowed("this build has no such header")
        case SweepBegun() | SweepTaken() if payload.chain_id not in chains or payload.header_id not in headers:
            raise NotAllowed("this build has no such fan chain or header")
        case LevelSwept() if state.of(FanHeadersState).sweeping is None:
            raise NotAllowed("no sweep was begun before it")
        case JointLooked() | WetWatchEnded() if power.pump_since is None:
            raise NotAllowed("the pump was not started before it")
        case JointLooked(look=look) if look.joint not in power.joints:
            raise NotAllowed("it looks at a joint that is not on the list of the watch")
        case _:
            pass
