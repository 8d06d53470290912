"""What the record asks of the thermal soak."""

from collections.abc import Iterator, Mapping
from typing import get_args

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.procedure.model import Procedure
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.build_state import BuildState
from commission.record.done_at import done_mark
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.over_years import Compared
from commission.record.payload import Payload
from commission.record.ports import Working
from commission.record.undoing import Undoing
from commission.stages.thermal_soak.entries import (
    ComponentLimited,
    HotJointsLooked,
    SoakClosed,
    SoakEntry,
    SoakRead,
    SoakStarted,
)
from commission.stages.thermal_soak.state import SoakState, apply_soak, soak_taken_back


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, SoakEntry)  # the registry asks for these kinds only
    return apply_soak(state, entry, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str]) -> str:
    from commission.stages.thermal_soak.text import soak_text

    assert isinstance(payload, SoakEntry)  # the registry asks for these kinds only
    return soak_text(payload)


def _admit(state: BuildState, _procedure: Procedure, entry: Logged) -> None:
    from commission.stages.thermal_soak.work.refused import refuse_limit, refuse_readings

    match entry.payload:
        case SoakRead() | HotJointsLooked() | SoakClosed() if not state.run(THERMAL_SOAK).running:
            raise NotAllowed("no soak was begun before it")
        case SoakRead(readings=readings):
            refuse_readings(state.of(SoakState).readings, readings)
        case ComponentLimited(name=name, most=most, source=source):
            refuse_limit(name, most.si, source)
        case SoakClosed(verdict=verdict) if verdict.outcome is Outcome.PASS and not state.of(SoakState).readings:
            raise NotAllowed("it passed, and nothing was read in it")
        case _:
            pass


def _compared(state: BuildState) -> Iterator[Compared]:
    """Yield coolant above air per watt of each soak that was ended with such a figure."""
    for run in state.runs.get(THERMAL_SOAK, ()):
        closed = None if run.closed is None else run.closed.payload
        if run.closed is not None and isinstance(closed, SoakClosed) and closed.verdict.k_per_w is not None:
            yield Compared(seq=run.closed.seq, mark=done_mark(run.closed), k_per_w=closed.verdict.k_per_w)


_RESTS_ON = frozenset(
    {
        Change.LIQUID,
        Change.ANOTHER_LOOP,
        Change.POWER,
        Change.HEAT_PATH,
        Change.AIR_LEFT,
        Change.COOLANT_GONE,
        Change.LEAKED,
        Change.BURNT,
        Change.PUMP_SEAT,
    }
)
"""Changes of what a soak is about: one takes the worth of a soak that passed, and of one that goes on."""


def _again(book: Working, entry: Logged) -> object:
    from commission.stages.thermal_soak.work.soaks import Soaks

    return book.work(Soaks).close(entry.build)


RECORD = RecordFace(
    id=THERMAL_SOAK,
    kinds=get_args(SoakEntry),
    fold=_fold,
    admit=_admit,
    text=_text,
    word="soak",
    states=(SoakState,),
    ends=(SoakClosed,),
    again={SoakClosed: _again},
    kept=(SoakStarted, SoakClosed),
    described=(SoakRead, ComponentLimited),
    needs_machine=True,
    compared=_compared,
    undoes=(Undoing(SoakClosed, "coolant is missing once cold", (Change.LEVEL_FELL,)),),
    taken_back=soak_taken_back,
    stale_on=_RESTS_ON,
    shaken_on=_RESTS_ON,
)
"""The thermal soak as the record sees it."""
