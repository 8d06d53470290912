"""What the entries about power, headers and chains add up to."""

from dataclasses import replace
from typing import assert_never

from commission.base.clock import ClockMark
from commission.base.frozen import dataclass
from commission.record.machine.seats import Chain, Header, Move, seats
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
from commission.stages.fan_headers.model.duties import DutyLeft
from commission.stages.fan_headers.model.layout import Layout
from commission.stages.fan_headers.model.sweep import SweepReading
from commission.stages.first_power.entries import (
    CableTested,
    FirstPowerClosed,
    FirstPowerEntry,
    JointLooked,
    MachineStarted,
    PowerFaultMended,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    WetWatchEnded,
)
from commission.stages.first_power.model.rails import LeftOut, PowerGoodVerdict, RailsVerdict
from commission.stages.first_power.model.rungs import (
    MachineVerdict,
    PowerBasis,
    PowerFault,
    PowerRecord,
    Rung,
    WetLook,
    WetVerdict,
)
from commission.stages.first_power.state.faults import after_cable, after_machine, after_rails, after_watch, mended


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenSweep:
    """A sweep with its place in the log."""

    seq: int
    """Number of its entry."""
    at_ms: int
    """When it was taken [ms since 1970 UTC]."""
    taken: SweepTaken
    """The sweep and its verdict."""
    stale_by: int | None = None
    """The later entry that took away its worth; None where there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepAtHand:
    """A sweep that was begun and not yet judged."""

    begun: SweepBegun
    """Chain, header, and where its speeds come from."""
    readings: tuple[SweepReading, ...] = ()
    """What was read so far."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerState:
    """Supply, headers and chains of one build as its entries tell them."""

    headers: tuple[Header, ...] = ()
    """Headers that are there, in the order written down."""
    chains: tuple[Chain, ...] = ()
    """Chains that are there, in the order written down."""
    gone_headers: tuple[Header, ...] = ()
    """Headers that are no longer there: the history still names them."""
    gone_chains: tuple[Chain, ...] = ()
    """Chains that were taken out."""
    moves: tuple[Move, ...] = ()
    """Every move of every chain, in the order typed."""
    sweeps: tuple[TakenSweep, ...] = ()
    """Every sweep, in order."""
    sweeping: SweepAtHand | None = None
    """The sweep at hand; None while none goes on."""
    layout: Layout | None = None
    """The layout that was taken last; None where none was."""
    duties: tuple[tuple[str, DutyLeft], ...] = ()
    """The duty that each chain was left at last, with the id of the chain."""
    supply: SupplyDescribed | None = None
    """The power supply; None until it was described."""
    cables: tuple[CableTested, ...] = ()
    """The last test of each cable."""
    rails: RailsVerdict | None = None
    """The last voltages of the supply alone."""
    power_good: PowerGoodVerdict | None = None
    """The last delay of PWR_OK."""
    made: tuple[str, ...] = ()
    """Every cable that was ever described as made or changed by hand for this supply."""
    plugs: tuple[str, ...] = ()
    """Every plug whose voltages were ever read on this supply."""
    left_out: tuple[LeftOut, ...] = ()
    """Plugs that are not read, and why."""
    faults: tuple[PowerFault, ...] = ()
    """Cables, voltages, joints and starts of the machine that failed, mended or not."""
    taken_back: tuple[PowerFault, ...] = ()
    """What failed by entries that were withdrawn, each with the reason."""
    leaked: tuple[str, ...] = ()
    """Joints that were wet or wept since the loop was last filled or changed; every later watch looks at them."""
    look_lost: int = 0
    """The last entry that withdrew a look of the watch at hand or last ended; 0 where there is none."""
    cables_lost: tuple[tuple[str, int], ...] = ()
    """Cables of which the last test was withdrawn and none followed, each with the entry that withdrew it."""
    rails_lost: int = 0
    """The entry that withdrew the voltages read last, where no later reading or pump start followed; 0 where none."""
    level_lost: int = 0
    """The last entry that withdrew a part of the sweep at hand or last taken; 0 where there is none."""
    pump_since: ClockMark | None = None
    """The clocks when the pump was started for the wet watch at hand; None while none goes on."""
    joints: tuple[str, ...] = ()
    """Joints of the wet watch at hand or last ended."""
    looks: tuple[WetLook, ...] = ()
    """Looks of the wet watch at hand or last ended."""
    wet: WetVerdict | None = None
    """The last wet watch that was ended."""
    machine: MachineVerdict | None = None
    """The last start of the whole machine."""
    started: MachineStarted | None = None
    """What was seen at that start."""

    def seats(self, at_ms: int | None = None) -> dict[str, str]:
        """Return which header each chain sat on, by their ids; now, or at a moment [ms since 1970 UTC]."""
        return seats(self.moves, at_ms=at_ms)

    def header(self, header_id: str | None) -> Header | None:
        """Return a header, there or gone; None where there never was one."""
        return next((h for h in (*self.headers, *self.gone_headers) if h.header_id == header_id), None)

    def chain(self, chain_id: str) -> Chain | None:
        """Return a chain, there or taken out; None where there never was one."""
        return next((c for c in (*self.chains, *self.gone_chains) if c.chain_id == chain_id), None)

    def on(self, header_id: str) -> tuple[Chain, ...]:
        """Return the chains that sit on a header now."""
        seated = self.seats()
        return tuple(chain for chain in self.chains if seated.get(chain.chain_id) == header_id)

    def overridden_on(self, header_id: str) -> str:
        """Return the reason for which the load of a header was let be as it is now; empty where there is none."""
        last = {move.chain_id: move for move in sorted(self.moves, key=lambda move: (move.at_ms, move.seq))}
        here = [last[chain.chain_id] for chain in self.on(header_id)]
        return next((move.overridden for move in sorted(here, key=lambda m: -m.seq) if move.overridden), "")

    def cable(self, name: str) -> CableTested | None:
        """Return the last test of a cable; None where it was not measured."""
        return next((tested for tested in self.cables if tested.test.cable.name == name), None)

    @property
    def plugs_wanted(self) -> tuple[str, ...]:
        """Plugs whose voltages the supply alone must show: of cables made by hand, and those that were ever read."""
        return tuple({plug.casefold(): plug for plug in (*self.plugs, *self.made)}.values())

    @property
    def open_faults(self) -> tuple[PowerFault, ...]:
        """What failed and was not said to be mended; a plug that is left out asks no more."""
        gone = tuple(f"{each.plug.casefold()} " for each in self.left_out)
        return tuple(
            each
            for each in self.faults
            if not each.done and not (each.rung is Rung.SUPPLY and each.what.casefold().startswith(gone))
        )

    def sweep_of(self, chain_id: str) -> TakenSweep | None:
        """Return the last sweep of a chain that still counts."""
        return next((s for s in reversed(self.sweeps) if s.taken.chain_id == chain_id and s.stale_by is None), None)

    def record(self, *, hold_passed: bool, filled: bool) -> PowerRecord:
        """Return what the ladder of the first power-on is judged by."""
        names = self.supply.hand_made if self.supply else ()
        basis = PowerBasis(hold_passed=hold_passed, filled=filled, hand_made=self.supply is None or bool(names))
        return PowerRecord(
            basis=basis,
            cables=tuple(tested.verdict for tested in self.cables if tested.test.cable.name in names),
            cables_wanted=len(names),
            rails=self.rails,
            power_good=self.power_good,
            wet=self.wet,
            machine=self.machine,
            faults=(*(f for f in self.faults if f.done), *self.open_faults, *self.taken_back),
        )


def apply_power(  # noqa: PLR0911 - one arm a kind of entry
    state: PowerState,
    seq: int,
    mark: ClockMark,
    payload: FirstPowerEntry | HeadersEntry,
    *,
    observed_ms: int | None = None,
) -> PowerState:
    """Return the state after an entry about power, headers or chains.

    Parameters
    ----------
    state
        The state before.
    seq
        Number of the entry.
    mark
        The clocks when it was entered.
    payload
        What was done.
    observed_ms
        When it was seen, if it was typed later [ms since 1970 UTC].
    """
    at_ms = observed_ms
    if at_ms is None:  # where the clock was set back, what was typed last still counts last
        at_ms = max([mark.wall_ms, *(move.at_ms for move in state.moves)])
    match payload:
        case HeaderAdded() | HeaderSet() | HeaderRemoved():
            return _header(state, seq, at_ms, payload)
        case ChainAdded(chain=chain):
            return replace(state, chains=(*_without(state.chains, chain.chain_id), chain))
        case ChainRemoved(chain_id=chain_id):
            state = _moved(state, Move(chain_id=chain_id, header_id=None, at_ms=at_ms, seq=seq, why=payload.reason))
            gone = (*state.gone_chains, *(chain for chain in state.chains if chain.chain_id == chain_id))
            return replace(state, chains=_without(state.chains, chain_id), gone_chains=gone)
        case ChainMoved(chain_id=chain_id, header_id=header_id, why=why):
            reason = payload.share_overridden or payload.start_overridden
            move = Move(chain_id=chain_id, header_id=header_id, at_ms=at_ms, seq=seq, why=why, overridden=reason)
            return _moved(state, move)
        case SweepBegun() | LevelSwept() | SweepTaken() | SweepAborted():
            return _swept(state, seq, at_ms, payload)
        case LayoutChosen(layout=layout):
            return replace(state, layout=layout)
        case DutyNoted(chain_id=chain_id, left=left):
            others = tuple(pair for pair in state.duties if pair[0] != chain_id)
            return replace(state, duties=(*others, (chain_id, left)))
        case HeadersClosed() | FirstPowerClosed():
            return state
        case _:
            return _ladder(state, mark, payload)


def _ladder(
    state: PowerState,
    mark: ClockMark,
    payload: SupplyDescribed
    | CableTested
    | RailsRead
    | PowerFaultMended
    | PumpStarted
    | JointLooked
    | WetWatchEnded
    | MachineStarted,
) -> PowerState:
    """Apply what was done on the ladder; a rung that is climbed anew takes away those above it."""
    match payload:
        case SupplyDescribed():
            return _described(state, payload)
        case PowerFaultMended(what=what, done=done):
            return replace(state, faults=mended(state.faults, what, done))
        case CableTested(test=test):
            others = tuple(tested for tested in state.cables if tested.test.cable.name != test.cable.name)
            faults = after_cable(state.faults, test.cable.name, payload.verdict)
            state = replace(state, cables=(*others, payload), faults=faults)
            return replace(state, rails=None, power_good=None, wet=None, machine=None, started=None)
        case RailsRead(verdict=verdict, power_good=power_good, left_out=left_out):
            faults = after_rails(state.faults, verdict, power_good)
            plugs = tuple(dict.fromkeys((*state.plugs, *(row.reading.plug for row in verdict.rows))))
            state = replace(state, faults=faults, plugs=plugs, left_out=left_out)
            return replace(state, rails=verdict, power_good=power_good, wet=None, machine=None, started=None)
        case PumpStarted(joints=joints):
            return replace(state, pump_since=mark, joints=joints, looks=(), wet=None, machine=None, started=None)
        case JointLooked(look=look):
            return replace(state, looks=(*state.looks, look))
        case WetWatchEnded(watch=watch, verdict=verdict):
            faults, wet = after_watch(state.faults, watch.looks), after_watch((), watch.looks)
            leaked = tuple(dict.fromkeys((*state.leaked, *(fault.what.removeprefix("joint ") for fault in wet))))
            state = replace(state, faults=faults, leaked=leaked)
            return replace(state, pump_since=None, wet=verdict, machine=None, started=None)
        case MachineStarted(verdict=verdict):
            faults = after_machine(state.faults, verdict)
            return replace(state, machine=verdict, started=payload, faults=faults)
        case _ as unreachable:
            assert_never(unreachable)


def _described(state: PowerState, described: SupplyDescribed) -> PowerState:
    """Describe the supply; under the same name it stays the same one, with what was made, read and found on it."""
    before = state.supply
    same = before is not None and before.name.casefold() == described.name.casefold()
    now = {name.casefold() for name in described.hand_made}
    kept = tuple(
        f
        for f in state.faults
        if same or f.rung in (Rung.PUMP, Rung.MACHINE) or f.what.casefold().removeprefix("cable ") in now
    )
    return replace(
        state,
        supply=described,
        made=tuple(dict.fromkeys((*(state.made if same else ()), *described.hand_made))),
        plugs=state.plugs if same else (),
        left_out=tuple(one for one in state.left_out if same and one.plug.casefold() not in now),
        faults=kept,
        rails=None,
        power_good=None,
        wet=None,
        machine=None,
        started=None,
    )


def _swept(
    state: PowerState, seq: int, at_ms: int, payload: SweepBegun | LevelSwept | SweepTaken | SweepAborted
) -> PowerState:
    match payload:
        case SweepBegun():
            return replace(state, sweeping=SweepAtHand(begun=payload))
        case LevelSwept() if state.sweeping is None:
            return state
        case LevelSwept(readings=readings):
            assert state.sweeping is not None  # the arm above took the other case
            return replace(state, sweeping=replace(state.sweeping, readings=(*state.sweeping.readings, *readings)))
        case SweepTaken():
            taken = TakenSweep(seq=seq, at_ms=at_ms, taken=payload)
            return replace(state, sweeps=(*state.sweeps, taken), sweeping=None)
        case SweepAborted():
            return replace(state, sweeping=None)
        case _ as unreachable:
            assert_never(unreachable)


def _header(state: PowerState, seq: int, at_ms: int, payload: HeaderAdded | HeaderSet | HeaderRemoved) -> PowerState:
    match payload:
        case HeaderAdded(header=header):
            others = tuple(other for other in state.headers if other.header_id != header.header_id)
            return replace(state, headers=(*others, header))
        case HeaderSet(header_id=header_id, set_to=set_to, full_speed_lock=lock, stops=stops):
            headers = tuple(
                replace(h, set_to=set_to, full_speed_lock=lock, stops=stops) if h.header_id == header_id else h
                for h in state.headers
            )
            return _stale(replace(state, headers=headers), seq, header_id=header_id)
        case HeaderRemoved(header_id=header_id, reason=reason):
            for chain_id, on in state.seats().items():
                if on == header_id:
                    state = _moved(state, Move(chain_id=chain_id, header_id=None, at_ms=at_ms, seq=seq, why=reason))
            gone = (*state.gone_headers, *(h for h in state.headers if h.header_id == header_id))
            left = tuple(h for h in state.headers if h.header_id != header_id)
            return replace(state, headers=left, gone_headers=gone)
        case _ as unreachable:
            assert_never(unreachable)


def _without(chains: tuple[Chain, ...], chain_id: str) -> tuple[Chain, ...]:
    return tuple(chain for chain in chains if chain.chain_id != chain_id)


def _moved(state: PowerState, move: Move) -> PowerState:
    """Move a chain; its sweeps, and those of whatever shares the old or new header, no longer speak of what is."""
    old = state.seats().get(move.chain_id)
    state = _stale(replace(state, moves=(*state.moves, move)), move.seq, chain_id=move.chain_id)
    for header_id in {old, move.header_id} - {None}:
        state = _stale(state, move.seq, header_id=header_id)
    return state


def _stale(state: PowerState, seq: int, *, chain_id: str | None = None, header_id: str | None = None) -> PowerState:
    def touched(sweep: TakenSweep) -> bool:
        return sweep.taken.chain_id == chain_id or sweep.taken.header_id == header_id

    sweeps = tuple(
        replace(sweep, stale_by=sweep.stale_by or seq) if touched(sweep) else sweep for sweep in state.sweeps
    )
    begun = state.sweeping.begun if state.sweeping else None
    given_up = begun is not None and (begun.chain_id == chain_id or begun.header_id == header_id)
    return replace(state, sweeps=sweeps, sweeping=None if given_up else state.sweeping)
