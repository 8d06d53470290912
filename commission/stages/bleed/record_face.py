"""What the record asks of the bleed."""

from collections.abc import Mapping
from typing import get_args

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.model import Procedure
from commission.procedure.stage_ids import BLEED, FILL
from commission.record.build_state import BuildState
from commission.record.face import RecordFace
from commission.record.locks import counts
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.proof import Proof
from commission.record.mishap import WentWrong, speaks_of_the_loop
from commission.record.payload import Payload
from commission.record.ports import Working
from commission.record.staleness import told
from commission.record.undoing import Undoing
from commission.stages.bleed.entries import BleedClosed, BleedCycleDone, BleedEntry, BleedStarted
from commission.stages.bleed.state import BleedState, apply_bleed, cycle_taken_back
from commission.stages.fill.record_face import after_pour, refuse_dose


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, BleedEntry)  # the registry asks for these kinds only
    after = after_pour(apply_bleed(state, entry, entry.payload), getattr(entry.payload, "pour", None))
    return _after_drop(after, entry)


def _after_drop(state: BuildState, entry: Logged) -> BuildState:
    """Take the worth of a fill that had passed where the level sank by more than was missing: the rest ran out."""
    match entry.payload:
        case BleedCycleDone(pour=None, cycle=cycle) if cycle.gone_m3 > 0 and counts(state, FILL):
            from commission.stages.bleed.work import ran_out

            return told(state, Change.LIQUID) if ran_out(state) else state
        case _:
            return state


def _text(payload: Payload, _names: Mapping[str, str]) -> str:
    from commission.stages.bleed.text import bleed_text

    assert isinstance(payload, BleedEntry)  # the registry asks for these kinds only
    return bleed_text(payload)


def _admit(state: BuildState, _procedure: Procedure, entry: Logged) -> None:
    match entry.payload:
        case BleedCycleDone() | BleedClosed() if not state.run(BLEED).running:
            raise NotAllowed("no bleed was begun before it")
        case BleedCycleDone(cycle=cycle) if cycle.run_s < 0 or cycle.resolution_m3 <= 0:
            raise NotAllowed("its time run is below 0, or its resolution not above 0")
        case BleedCycleDone(pour=pour) if pour is not None:
            refuse_dose(pour.dose)
        case BleedClosed(verdict=verdict) if verdict.outcome is Outcome.PASS and not state.of(BleedState).cycles:
            raise NotAllowed("it passed without a cycle")
        case _:
            pass


def _went_wrong(state: BuildState, _entry: Logged, wrong: WentWrong) -> BuildState:
    """Begin the cycles of a bleed that goes on again: air came in where coolant came out."""
    if not state.run(BLEED).running or not speaks_of_the_loop(wrong):
        return state
    return state.with_(replace(state.of(BleedState), cycles=()))


def _again(book: Working, entry: Logged) -> object:
    from commission.stages.bleed.work import Bleeds

    return book.work(Bleeds).close(entry.build)


RECORD = RecordFace(
    id=BLEED,
    kinds=get_args(BleedEntry),
    fold=_fold,
    admit=_admit,
    text=_text,
    states=(BleedState,),
    ends=(BleedClosed,),
    again={BleedClosed: _again},
    proves=Proof.BLED,
    kept=(BleedStarted, BleedClosed),
    went_wrong=_went_wrong,
    taken_back=cycle_taken_back,
    undoes=(
        Undoing(BleedCycleDone, "with a top-up", (Change.TOP_UP,)),
        Undoing(
            BleedCycleDone, "with another coolant, more than the loop takes, or a level that ran out", (Change.LIQUID,)
        ),
        Undoing(BleedClosed, "it failed", (Change.AIR_LEFT,)),
    ),
    stale_on=frozenset(
        {
            Change.TOP_UP,
            Change.LIQUID,
            Change.ANOTHER_LOOP,
            Change.LEVEL_FELL,
            Change.COOLANT_GONE,
            Change.LEAKED,
        }
    ),
)
"""The bleed as the record sees it."""
