"""What the record asks of headers, chains and sweeps."""

from collections.abc import Mapping
from typing import get_args

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.procedure.model import Procedure
from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.build_state import BuildState
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.left_at import LeftAt
from commission.record.part_changed import PartChanged
from commission.record.payload import Payload
from commission.record.ports import Working
from commission.record.undoing import Reach, Undoing
from commission.stages.fan_headers.entries import (
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    DutyNoted,
    HeaderAdded,
    HeaderRemoved,
    HeadersClosed,
    HeadersEntry,
    HeaderSet,
    LayoutChosen,
    LevelSwept,
    SweepAborted,
    SweepBegun,
    SweepTaken,
)
from commission.stages.fan_headers.state import (
    FanHeadersState,
    apply_headers,
    burnt_sweeps,
    changed_chain,
    sweep_taken_back,
)
from commission.stages.fan_headers.text import names_in


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, HeadersEntry)  # the registry asks for these kinds only
    return apply_headers(state, entry, entry.payload)


def _text(payload: Payload, names: Mapping[str, str]) -> str:
    from commission.stages.fan_headers.text import headers_text

    assert isinstance(payload, HeadersEntry)  # the registry asks for these kinds only
    return headers_text(payload, names=names)


def _admit(state: BuildState, _procedure: Procedure, entry: Logged) -> None:
    plugged, payload = state.plugged, entry.payload
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
        case HeadersClosed(verdict=verdict) if verdict.outcome is Outcome.PASS and not chains:
            raise NotAllowed("it passed, and no chain is written down")
        case SweepTaken(verdict=verdict) if verdict.outcome is Outcome.PASS and not payload.sweep.readings:
            raise NotAllowed("it passed, and nothing was read in it")
        case _:
            pass


def _part_changed(state: BuildState, entry: Logged, part: PartChanged) -> BuildState:
    return changed_chain(state, entry.seq, part.target_id)


def _again(book: Working, entry: Logged) -> object:
    from commission.stages.fan_headers.work.fan_headers import FanHeaders

    work = book.work(FanHeaders)
    match entry.payload:
        case SweepTaken(chain_id=chain_id, sweep=sweep, source=source, setup=setup, done=done):
            return work.sweeps.take_sweep(entry.build, chain_id, sweep, source, step_rpm=setup.step_rpm, done=done)
        case _:
            return work.close(entry.build)


RECORD = RecordFace(
    id=FAN_HEADERS,
    kinds=get_args(HeadersEntry),
    fold=_fold,
    part_changed=_part_changed,
    admit=_admit,
    text=_text,
    names=names_in,
    ends=(HeadersClosed,),
    again={SweepTaken: _again, HeadersClosed: _again},
    kept=(HeadersClosed,),
    placed=(ChainMoved,),
    described=(HeaderAdded, ChainAdded, SweepAborted, LayoutChosen),
    states=(FanHeadersState, LeftAt),
    taken_back=sweep_taken_back,
    went_wrong=burnt_sweeps,
    needs_machine=True,
    undoes=(
        *(
            Undoing(kind, "", (), Reach.OWN)
            for kind in (ChainAdded, ChainRemoved, ChainMoved, HeaderSet, HeaderRemoved)
        ),
        *(
            Undoing(kind, "the pump is plugged or set another way since the machine was started", (Change.PUMP_SEAT,))
            for kind in (ChainAdded, ChainRemoved, ChainMoved, HeaderSet, HeaderRemoved)
        ),
        *(Undoing(kind, "", (Change.HEAT_PATH,)) for kind in (ChainMoved, ChainRemoved)),
        *(Undoing(kind, "something sits on it", (Change.HEAT_PATH,)) for kind in (HeaderSet, HeaderRemoved)),
        Undoing(DutyNoted, "the pump stood", (Change.PUMP_SEAT,), Reach.OWN),
        Undoing(DutyNoted, "the sweep does not support that duty or speed", (Change.HEAT_PATH,), Reach.OWN),
        Undoing(DutyNoted, "a lower duty than before", (Change.HEAT_PATH,)),
        Undoing(PartChanged, "fans", (), Reach.OWN),
    ),
    stale_on=frozenset(
        {Change.LIQUID, Change.ANOTHER_LOOP, Change.POWER, Change.AIR_LEFT, Change.LEAKED, Change.BURNT}
    ),
)
"""Headers, chains and sweeps as the record sees them."""
