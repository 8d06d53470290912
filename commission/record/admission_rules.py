"""What each kind of entry of no stage needs before it, and whom of the stages to ask about theirs.

The same as the use cases refuse, as far as every released version did.
"""

from __future__ import annotations

from commission.base.errors import NotAllowed
from commission.procedure.model import Procedure
from commission.record.build_state import BuildState, ShopState
from commission.record.entries import (
    BuildBroughtBack,
    BuildPutAway,
    CautionAcknowledged,
    CautionsPrinted,
    EntriesTakenOver,
    FindingCured,
    FindingRaised,
    InstrumentAdded,
    InstrumentMissing,
    InstrumentRetired,
    OperatorNamed,
    StageOverridden,
    StepDone,
    Withdrawn,
)
from commission.record.face import Registry
from commission.record.logbook import checked_name, name_key, refuse_instrument, refuse_put_away
from commission.record.logged import Logged
from commission.record.mishap import WentWrong
from commission.record.mishaps import refuse_mishap
from commission.record.part_changed import PartChanged
from commission.record.payload import Payload


def refuse_in_shop(registry: Registry, before: ShopState, payload: Payload) -> None:
    """Raise NotAllowed where the workshop would not have taken an entry after those before it."""
    face = registry.of(payload)
    if face is not None and isinstance(payload, face.shop_kinds):
        face.admit_in_shop(before, payload)
        return
    match payload:
        case OperatorNamed(name=name):
            checked_name(name)
        case InstrumentAdded(instrument=instrument):
            others = (one for one in before.instruments if one.instrument_id != instrument.instrument_id)
            taken = {name_key(other.name) for other in others}
            if name_key(checked_name(instrument.name)) in taken:
                raise NotAllowed(f'there is an instrument "{instrument.name}" already')
            refuse_instrument(instrument)
        case InstrumentRetired() | InstrumentMissing() | Withdrawn():
            pass
        case _:
            raise NotAllowed(f'"{payload.KIND}" belongs to a build, not to the workshop')


def refuse_in_build(registry: Registry, state: BuildState, procedure: Procedure, entry: Logged) -> None:
    """Raise NotAllowed where a build in this state would not have taken an entry."""
    payload, face = entry.payload, registry.of(entry.payload)
    if face is not None:
        face.admit(state, procedure, entry)
        return
    match payload:
        case CautionAcknowledged(stage=stage) | CautionsPrinted(stage=stage) | StepDone(stage=stage):
            _stage_of(procedure, stage)
        case StageOverridden(stage=stage, reason=reason):
            _stage_of(procedure, stage)
            if not reason.strip():
                raise NotAllowed("an override needs a reason")
        case FindingRaised(note=note) if not note.strip():
            raise NotAllowed("it does not say what was found")
        case BuildPutAway() | BuildBroughtBack():
            refuse_put_away(state, away=isinstance(payload, BuildPutAway))
        case WentWrong() | PartChanged():
            _refuse_happened(procedure, payload)
        case FindingCured(finding_id=finding_id, cure=cure):
            if all(finding.raised.finding_id != finding_id for finding in state.findings) or not cure.strip():
                raise NotAllowed("it repairs a defect that was never found, or does not say how")
        case _:
            pass


def _refuse_happened(procedure: Procedure, happened: WentWrong | PartChanged) -> None:
    if isinstance(happened, WentWrong):
        refuse_mishap(happened)
        return
    _stage_of(procedure, happened.stage)
    if not (happened.name.strip() and happened.why.strip()):
        raise NotAllowed("it does not say which part was changed, or why")


def _stage_of(procedure: Procedure, stage: str) -> None:
    if all(one.id != stage for one in procedure.stages):
        raise NotAllowed(f'the procedure of this build has no stage "{stage[:40]}"')


def refuse_runs(seq: int, over: EntriesTakenOver) -> None:
    """Raise NotAllowed where what an entry of that number says of others is not of entries before it, in order."""
    end = 0
    for run in over.runs:
        if run.here <= end or run.there < 1 or run.count < 1:
            raise NotAllowed("the entries that it names are not in order")
        end = run.here + run.count - 1
    if end >= seq:
        raise NotAllowed(f"it names entry {end}, which is not before it")
