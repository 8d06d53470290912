"""What the record asks of the handover and its visits."""

from collections.abc import Mapping
from typing import get_args

from commission.base.errors import InputError, NotAllowed
from commission.base.verdict import Outcome
from commission.procedure.model import Procedure
from commission.procedure.stage_ids import HANDOVER
from commission.record.build_state import BuildState
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.payload import Payload
from commission.record.ports import Working
from commission.record.undoing import Undoing
from commission.stages.fill.record_face import after_pour, refuse_dose
from commission.stages.handover.entries import (
    CoolantLifeRead,
    HandedOver,
    HandoverEntry,
    ServiceDone,
    SparesNamed,
    ToppedUp,
    VisitBegun,
)
from commission.stages.handover.state import HandoverState, apply_handover, visit_taken_back, visiting


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, HandoverEntry)  # the registry asks for these kinds only
    return after_pour(apply_handover(state, entry, entry.payload), getattr(entry.payload, "pour", None))


def _text(payload: Payload, _names: Mapping[str, str]) -> str:
    from commission.stages.handover.text import handover_text

    assert isinstance(payload, HandoverEntry)  # the registry asks for these kinds only
    return handover_text(payload)


def _admit(state: BuildState, procedure: Procedure, entry: Logged) -> None:
    from commission.stages.fill.model.coolant import refuse_life
    from commission.stages.handover.judge.ready import evaluate_handover
    from commission.stages.handover.work.handovers import refuse_spares, refuse_visit
    from commission.stages.handover.work.standing import facts_of

    if all(stage.id != HANDOVER for stage in procedure.stages):
        raise NotAllowed("the procedure of this build has no handover")
    payload = entry.payload
    if isinstance(payload, ToppedUp):
        refuse_dose(payload.pour.dose)
    try:
        match payload:
            case SparesNamed():
                refuse_spares(payload)
            case CoolantLifeRead(life_s=life):
                refuse_life(life)
            case HandedOver() if evaluate_handover(facts_of(procedure, state)).outcome is not Outcome.PASS:
                raise NotAllowed("it hands over a machine that was not ready")
            case VisitBegun():
                refuse_visit(state)
            case ToppedUp() | ServiceDone() if visiting(state) is None:
                raise NotAllowed("no visit was begun before it")
            case _:
                pass
    except InputError as error:
        raise NotAllowed(str(error)) from None


def _again(book: Working, entry: Logged) -> object:
    from commission.stages.handover.work.handovers import Handovers

    assert isinstance(entry.payload, HandedOver)  # the registry asks for this kind only
    return book.work(Handovers).hand_over(entry.build, entry.payload.to, observed_ms=entry.observed_ms)


RECORD = RecordFace(
    id=HANDOVER,
    kinds=get_args(HandoverEntry),
    fold=_fold,
    admit=_admit,
    text=_text,
    states=(HandoverState,),
    ends=(HandedOver,),
    taken_back=visit_taken_back,
    again={HandedOver: _again},
    kept=(HandedOver, VisitBegun),
    in_place={HandedOver: "for another owner type again, or run commission handover --to"},
    placed=(HandedOver,),
    described=(SparesNamed, CoolantLifeRead),
    no_override=(
        "a machine is handed over when every stage before has passed, and no reason stands for that. Bring the stage "
        "that is named to a pass"
    ),
    undoes=(
        Undoing(ToppedUp, "more than is usual", (Change.TOP_UP,)),
        Undoing(ToppedUp, "another coolant, or more than the loop takes", (Change.LIQUID,)),
    ),
    stale_on=frozenset(Change),
)
"""The handover as the record sees it."""
