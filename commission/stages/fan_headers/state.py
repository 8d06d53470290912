"""What the entries about headers, chains and sweeps add up to in a build, and which verdicts they take away."""

from typing import assert_never

from commission.base.frozen import Frozen, replace
from commission.base.verdict import Outcome
from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.build_state import BuildState
from commission.record.entries import Withdrawn
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.left_at import LeftAt
from commission.record.machine.plugged import Plugged
from commission.record.machine.rungs import Rung, Rungs
from commission.record.machine.seats import SLOWEST_PUMP_RPM, Chain, Header, Move
from commission.record.mishap import WentWrong, changes_by
from commission.record.payload import Payload
from commission.record.staleness import ended_run, stale_runs, started_run, told
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
    SeatEntry,
    SweepAborted,
    SweepBegun,
    SweepEntry,
    SweepTaken,
)
from commission.stages.fan_headers.model.duties import DutyLeft
from commission.stages.fan_headers.model.layout import Layout
from commission.stages.fan_headers.model.left import Objection, against_left
from commission.stages.fan_headers.model.sweep import FULL_PCT, SweepReading

_NEW_SEATS = ChainAdded | ChainRemoved | ChainMoved | HeaderSet | HeaderRemoved
"""Work after which the sweeps must be judged again."""


class TakenSweep(Frozen):
    """A sweep with its place in the log."""

    seq: int
    """Number of its entry."""
    at_ms: int
    """When it was taken [ms since 1970 UTC]."""
    taken: SweepTaken
    """The sweep and its verdict."""
    stale_by: int | None = None
    """The later entry that took away its worth; None where there is none."""


class SweepAtHand(Frozen):
    """A sweep that was begun and not yet judged."""

    begun: SweepBegun
    """Chain, header, and where its speeds come from."""
    readings: tuple[SweepReading, ...] = ()
    """What was read so far."""


class AbortedSweep(Frozen):
    """A sweep that was given up, with what was read by then."""

    at_hand: SweepAtHand
    """Chain, header and readings."""
    why: str
    """The reason as typed, or what put an end to it."""


class FanHeadersState(Frozen):
    """Sweeps, layout and duties of one build as its entries tell them; what sits where is the machine's."""

    sweeps: tuple[TakenSweep, ...] = ()
    """Every sweep, in order."""
    sweeping: SweepAtHand | None = None
    """The running sweep; None while there is none."""
    aborted: tuple[AbortedSweep, ...] = ()
    """Sweeps that were given up after something was read, and all that were aborted, in order."""
    layout: Layout | None = None
    """The layout that was taken last; None where none was."""
    duties: tuple[tuple[str, DutyLeft], ...] = ()
    """The duty that each chain was left at last, with the id of the chain."""
    doubted: tuple[str, ...] = ()
    """Headers on which the last sweep of a pump failed: without another, nobody takes their full speed for granted."""
    taken_back: tuple[str, ...] = ()
    """Sweeps that failed and were withdrawn, each with the reason, as sentences."""
    level_lost: int = 0
    """The last entry that withdrew a part of the sweep that runs or was taken last; 0 where there is none."""

    def sweep_of(self, chain_id: str) -> TakenSweep | None:
        """Return the last sweep of a chain that still counts."""
        return next((s for s in reversed(self.sweeps) if s.taken.chain_id == chain_id and s.stale_by is None), None)

    def against(self, chain: Chain, left: DutyLeft) -> Objection | None:
        """Return what its sweep and its nameplate have against how a chain was left; None where nothing."""
        found = self.sweep_of(chain.chain_id)
        sweep, verdict = (None, None) if found is None else (found.taken.sweep, found.taken.verdict)
        return against_left(chain, sweep, verdict, left)


def apply_headers(state: BuildState, entry: Logged, payload: HeadersEntry) -> BuildState:
    """Return the state after an entry about headers, chains or sweeps."""
    match payload:
        case HeaderAdded() | HeaderSet() | HeaderRemoved() | ChainAdded() | ChainRemoved() | ChainMoved():
            seated = _seated(state, entry, payload)
            if _pumps(state.plugged) != _pumps(seated.plugged) and state.of(Rungs).shown.get(Rung.MACHINE):
                seated = told(seated, Change.PUMP_SEAT)
            if _moves_heat(state.plugged, payload):
                seated = told(seated, Change.HEAT_PATH)
            return stale_runs(seated, entry.seq, FAN_HEADERS) if isinstance(payload, _NEW_SEATS) else seated
        case SweepBegun() | LevelSwept() | SweepTaken() | SweepAborted():
            swept = _swept(state.of(FanHeadersState), entry.seq, _at_ms(state.plugged, entry), payload)
            state = state.with_(_doubted(state.plugged, swept, payload))
            return started_run(state, FAN_HEADERS, entry) if isinstance(payload, SweepBegun | SweepTaken) else state
        case LayoutChosen(layout=layout):
            return state.with_(replace(state.of(FanHeadersState), layout=layout))
        case DutyNoted():
            return _left(state, entry.seq, payload)
        case HeadersClosed():
            return ended_run(state, FAN_HEADERS, entry)
        case _ as unreachable:
            assert_never(unreachable)


def _moves_heat(plugged: Plugged, payload: SeatEntry) -> bool:
    """Return whether air may move otherwise: a chain was moved or is gone, or its header was set or is gone."""
    match payload:
        case ChainMoved() | ChainRemoved():
            return True
        case HeaderSet(header_id=header_id) | HeaderRemoved(header_id=header_id):
            return bool(plugged.on(header_id))
        case _:
            return False


def _left(state: BuildState, seq: int, noted: DutyNoted) -> BuildState:
    """Return the state after a duty was noted: what it contradicts was shown of another machine.

    A pump that stands is no longer what was seen at the machine's start. What the sweep does not support takes the
    stage, and the soak with it; a lower duty takes the soak alone.
    """
    swept, left = state.of(FanHeadersState), noted.left
    before = dict(swept.duties).get(noted.chain_id)
    others = tuple(pair for pair in swept.duties if pair[0] != noted.chain_id)
    state = state.with_(replace(swept, duties=(*others, (noted.chain_id, left))))
    state = state.with_(state.of(LeftAt).with_duty(noted.chain_id, left.duty_pct / 100))
    chain = next((one for one in state.plugged.chains if one.chain_id == noted.chain_id), None)
    against = None if chain is None else swept.against(chain, left)
    if chain is not None and chain.pump and left.rpm is not None and left.rpm < SLOWEST_PUMP_RPM:
        return told(stale_runs(state, seq, FAN_HEADERS), Change.PUMP_SEAT)
    if against is not None:
        return told(stale_runs(state, seq, FAN_HEADERS), Change.HEAT_PATH)
    lower = left.duty_pct < (FULL_PCT if before is None else before.duty_pct)
    return told(state, Change.HEAT_PATH) if lower else state


def _pumps(plugged: Plugged) -> dict[str, tuple[Header | None, tuple[Chain, ...]]]:
    """Return of each pump its header as that is set, and all that sits on it; a machine is started with them so."""
    seated = plugged.seats()
    on = {one.chain_id: seated.get(one.chain_id) for one in plugged.chains if one.pump}
    chains = {one.chain_id: one for one in plugged.chains}
    return {
        pump: (plugged.header(header), (chains[pump],) if header is None else plugged.on(header))
        for pump, header in on.items()
    }


def changed_chain(state: BuildState, seq: int, chain_id: str) -> BuildState:
    """Return the state after a fan of a chain was changed: its sweep, and so the stage, speaks of another one."""
    if chain_id not in {chain.chain_id for chain in state.plugged.chains}:
        return state
    swept = _stale(state.of(FanHeadersState), seq, chain_id=chain_id)
    return stale_runs(state.with_(swept), seq, FAN_HEADERS)


def sweep_taken_back(state: BuildState, entry: Logged, withdrawal: Logged) -> BuildState:
    """Return the state after a withdrawn entry: a sweep of which a part was withdrawn after it loses its worth.

    So does an older sweep where one that failed is withdrawn: by that alone no older pass counts again.
    """
    swept = state.of(FanHeadersState)
    match entry.payload:
        case SweepBegun() | LevelSwept():
            return state.with_(replace(swept, level_lost=withdrawal.seq))
        case SweepTaken(chain_id=chain_id, verdict=verdict) if verdict.outcome is Outcome.FAIL:
            sweeps = tuple(
                replace(one, stale_by=withdrawal.seq)
                if one.taken.chain_id == chain_id and one.stale_by is None
                else one
                for one in swept.sweeps
            )
            swept, said = replace(swept, sweeps=sweeps), withdrawal.payload
            assert isinstance(said, Withdrawn)  # the fold looked it up
            chain = state.plugged.chain(chain_id)
            name, reason = "a chain" if chain is None else chain.name, said.reason
            told_of = f"A sweep of {name} failed and was withdrawn by entry {withdrawal.seq}: {reason}."
            swept = replace(swept, taken_back=(*swept.taken_back, told_of))
            return state.with_(_doubted(state.plugged, swept, entry.payload))
        case _:
            return state


def _doubted(plugged: Plugged, swept: FanHeadersState, payload: Payload) -> FanHeadersState:
    """Return the state after a sweep of a pump: one that failed leaves its header in doubt until another passes."""
    if not isinstance(payload, SweepTaken):
        return swept
    chain = plugged.chain(payload.chain_id)
    if chain is None or not chain.pump or payload.verdict.outcome not in (Outcome.PASS, Outcome.FAIL):
        return swept
    others = tuple(one for one in swept.doubted if one != payload.header_id)
    failed = payload.verdict.outcome is Outcome.FAIL
    return replace(swept, doubted=(*others, payload.header_id) if failed else others)


def burnt_sweeps(state: BuildState, entry: Logged, wrong: WentWrong) -> BuildState:
    """Return the state after smoke, or its repair: what was swept may have been swept on what burnt."""
    if Change.BURNT not in changes_by(wrong):
        return state
    swept = state.of(FanHeadersState)
    sweeps = tuple(replace(one, stale_by=one.stale_by or entry.seq) for one in swept.sweeps)
    return state.with_(_given_up(replace(swept, sweeps=sweeps), "something burnt, or got wet"))


def _at_ms(plugged: Plugged, entry: Logged) -> int:
    """Return when something was seen; where the clock was set back, what was typed last still counts last [ms]."""
    if entry.observed_ms is not None:
        return entry.observed_ms
    return max([entry.mark.wall_ms, *(move.at_ms for move in plugged.moves)])


def _swept(state: FanHeadersState, seq: int, at_ms: int, payload: SweepEntry) -> FanHeadersState:
    match payload:
        case SweepBegun():
            state = _given_up(state, "another sweep was begun")
            return replace(state, sweeping=SweepAtHand(begun=payload), level_lost=0)
        case LevelSwept() if state.sweeping is None:
            return state
        case LevelSwept(readings=readings):
            assert state.sweeping is not None  # the arm above took the other case
            return replace(state, sweeping=replace(state.sweeping, readings=(*state.sweeping.readings, *readings)))
        case SweepTaken():
            lost = state.level_lost if seq < state.level_lost else None
            taken = TakenSweep(seq=seq, at_ms=at_ms, taken=payload, stale_by=lost)
            return replace(state, sweeps=(*state.sweeps, taken), sweeping=None)
        case SweepAborted(reason=reason):
            return _given_up(state, reason, empty=True)
        case _ as unreachable:
            assert_never(unreachable)


def _seated(state: BuildState, entry: Logged, payload: SeatEntry) -> BuildState:
    plugged, seq, at_ms = state.plugged, entry.seq, _at_ms(state.plugged, entry)
    match payload:
        case HeaderAdded(header=header):
            others = tuple(other for other in plugged.headers if other.header_id != header.header_id)
            return replace(state, plugged=replace(plugged, headers=(*others, header)))
        case HeaderSet(header_id=header_id, set_to=set_to, full_speed_lock=lock, stops=stops):
            headers = tuple(
                replace(h, set_to=set_to, full_speed_lock=lock, stops=stops) if h.header_id == header_id else h
                for h in plugged.headers
            )
            state = state.with_(_stale(state.of(FanHeadersState), seq, header_id=header_id))
            return replace(state, plugged=replace(plugged, headers=headers))
        case HeaderRemoved(header_id=header_id, reason=reason):
            for chain_id, on in plugged.seats().items():
                if on == header_id:
                    state = _moved(state, Move(chain_id=chain_id, header_id=None, at_ms=at_ms, seq=seq, why=reason))
            gone = (*plugged.gone_headers, *(h for h in plugged.headers if h.header_id == header_id))
            left = tuple(h for h in plugged.headers if h.header_id != header_id)
            return replace(state, plugged=replace(state.plugged, headers=left, gone_headers=gone))
        case ChainAdded(chain=chain):
            return replace(state, plugged=replace(plugged, chains=(*_without(plugged, chain.chain_id), chain)))
        case ChainRemoved(chain_id=chain_id, reason=reason):
            state = _moved(state, Move(chain_id=chain_id, header_id=None, at_ms=at_ms, seq=seq, why=reason))
            gone_chains = (*plugged.gone_chains, *(chain for chain in plugged.chains if chain.chain_id == chain_id))
            now = replace(state.plugged, chains=_without(plugged, chain_id), gone_chains=gone_chains)
            return replace(state, plugged=now)
        case ChainMoved(chain_id=chain_id, header_id=to, why=why):
            reason = payload.share_overridden or payload.start_overridden
            return _moved(
                state, Move(chain_id=chain_id, header_id=to, at_ms=at_ms, seq=seq, why=why, overridden=reason)
            )
        case _ as unreachable:
            assert_never(unreachable)


def _without(plugged: Plugged, chain_id: str) -> tuple[Chain, ...]:
    return tuple(chain for chain in plugged.chains if chain.chain_id != chain_id)


def _moved(state: BuildState, move: Move) -> BuildState:
    """Move a chain; its sweeps, and those of whatever shares the old or new header, no longer speak of what is."""
    old = state.plugged.seats().get(move.chain_id)
    swept = _stale(state.of(FanHeadersState), move.seq, chain_id=move.chain_id)
    for header_id in {old, move.header_id} - {None}:
        swept = _stale(swept, move.seq, header_id=header_id)
    return replace(state.with_(swept), plugged=replace(state.plugged, moves=(*state.plugged.moves, move)))


def _stale(
    state: FanHeadersState, seq: int, *, chain_id: str | None = None, header_id: str | None = None
) -> FanHeadersState:
    def touched(sweep: TakenSweep) -> bool:
        return sweep.taken.chain_id == chain_id or sweep.taken.header_id == header_id

    sweeps = tuple(
        replace(sweep, stale_by=sweep.stale_by or seq) if touched(sweep) else sweep for sweep in state.sweeps
    )
    begun = state.sweeping.begun if state.sweeping else None
    touched_now = begun is not None and (begun.chain_id == chain_id or begun.header_id == header_id)
    state = replace(state, sweeps=sweeps)
    return _given_up(state, "what it speaks of was changed") if touched_now else state


def _given_up(state: FanHeadersState, why: str, *, empty: bool = False) -> FanHeadersState:
    """Keep aside what was read in the running sweep, which ends with it; ``empty``: also where nothing was."""
    at_hand = state.sweeping
    if at_hand is None or not (at_hand.readings or empty):
        return replace(state, sweeping=None)
    return replace(state, sweeping=None, aborted=(*state.aborted, AbortedSweep(at_hand=at_hand, why=why)))
