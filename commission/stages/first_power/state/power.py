"""What the entries of the first power-on add up to."""

import itertools
from collections.abc import Iterator, Sequence
from typing import assert_never

from commission.base.clock import ClockMark
from commission.base.frozen import Frozen, replace
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.record.machine.change import Change
from commission.record.machine.rungs import Rung
from commission.stages.first_power.entries import (
    CableTested,
    FirstPowerClosed,
    FirstPowerEntry,
    JointLooked,
    MachineStarted,
    MultimeterNamed,
    PowerFaultMended,
    PowerTestAborted,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    WetWatchEnded,
)
from commission.stages.first_power.model.ladder import PowerBasis, PowerFault, PowerRecord
from commission.stages.first_power.model.machine_start import MachineVerdict
from commission.stages.first_power.model.rails import LeftOut, PowerGoodVerdict, Rail, RailReading, RailsVerdict
from commission.stages.first_power.model.wet_watch import WetLook, WetVerdict
from commission.stages.first_power.state.faults import (
    UNDER_LOAD,
    after_cable,
    after_looks,
    after_machine,
    after_rails,
    after_watch,
    mended,
)
from commission.stages.first_power.state.supplies import EarlierSupply, Measured, compared, merged


class AbortedTest(Frozen):
    """A test that was aborted, with what was measured by then."""

    aborted: PowerTestAborted
    """Which, and why."""
    tested: CableTested | None = None
    """What was measured on the cable; None where it was the voltages."""
    rails: RailsVerdict | None = None
    """The voltages; None where it was a cable."""
    power_good: PowerGoodVerdict | None = None
    """The delay of PWR_OK with them."""


class FirstPowerState(Frozen):
    """Supply, cables, voltages, leak watch and start of the machine of one build as its entries tell them."""

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
    earlier: tuple[EarlierSupply, ...] = ()
    """Other supplies that were described before, with what was found on them."""
    before: tuple[Measured, ...] = ()
    """What was measured on supplies before they were left, changed or hurt, in order."""
    read_last: tuple[RailReading, ...] = ()
    """Voltages of this supply as read last, whatever took their worth since."""
    same_rails: str = ""
    """The supply with the very voltages that were read last; empty where none had them."""
    other_names: tuple[str, ...] = ()
    """Names, as compared, that were said of the supply after that and withdrawn: what failed may be of one of them."""
    aborted: tuple[AbortedTest, ...] = ()
    """Tests that were aborted, in order; what failed in one stays a fault."""
    leaked: tuple[str, ...] = ()
    """Joints that were wet or wept since the loop was last filled or changed; every later watch looks at them."""
    look_lost: int = 0
    """The last entry that withdrew a look of the watch that goes on or ended last; 0 where there is none."""
    cables_lost: tuple[tuple[str, int], ...] = ()
    """Cables of which the last test was withdrawn and none followed, each with the entry that withdrew it."""
    rails_lost: int = 0
    """The entry that withdrew the voltages read last, where no later reading or pump start followed; 0 where none."""
    pump_since: ClockMark | None = None
    """The clocks when the pump was started, as done, for the wet watch that goes on; None while none goes on."""
    level_sank: int = 0
    """The entry of the last watch at whose end the level sank; 0 where there is none."""
    leak_told: str = ""
    """Where the loop leaked by what was told in the wet watch that goes on; empty where nothing was."""
    joints: tuple[str, ...] = ()
    """Joints of the wet watch that goes on or ended last."""
    looks: tuple[WetLook, ...] = ()
    """Looks of the wet watch that goes on or ended last."""
    wet: WetVerdict | None = None
    """The last wet watch that was ended."""
    machine: MachineVerdict | None = None
    """The last start of the whole machine."""
    started: MachineStarted | None = None
    """What was seen at that start."""
    multimeter: str = ""
    """The multimeter that was named last; empty where none was."""
    named_late: bool = False
    """Whether something had been read already when it was named."""

    def after(self, change: Change) -> "FirstPowerState":
        """Return what still holds after a change of the loop: what the pump showed does not, cables and rails do.

        With a fault in its loop a pump that runs by the record still runs: only what it showed is taken away. Where the
        pump is plugged elsewhere, nobody saw it turn with the machine there.
        """
        if change is Change.PUMP_SEAT:
            return replace(self, machine=None, started=None)
        if change not in (Change.AT_FAULT, Change.AIR_LEFT, Change.LEAKED, Change.ANOTHER_LOOP):
            return self
        state = replace(self, wet=None, machine=None, started=None)
        if change is not Change.ANOTHER_LOOP:
            return state
        return replace(state, pump_since=None, joints=(), leaked=(), looks=())

    def cable(self, name: str) -> CableTested | None:
        """Return the last test of a cable; None where it was not measured."""
        return next((tested for tested in self.cables if tested.test.cable.name == name), None)

    def measured(self, cable: str) -> bool:
        """Return whether anything was measured that can be aborted: on a cable; for an empty name, of the voltages."""
        return self.cable(cable) is not None if cable else self.rails is not None

    @property
    def readings(self) -> tuple[RailReading, ...]:
        """The voltages that were read of the supply alone."""
        return tuple(row.reading for row in self.rails.rows) if self.rails else ()

    @property
    def plugs_wanted(self) -> tuple[str, ...]:
        """Plugs whose voltages the supply alone must show: of cables made by hand, and those that were ever read."""
        return tuple({plug.casefold(): plug for plug in (*self.plugs, *self.made)}.values())

    @property
    def open_faults(self) -> tuple[PowerFault, ...]:
        """What failed and was not said to be mended; a plug that is left out asks no more."""
        gone = {
            f"{each.plug} {rail}{load}".casefold()
            for each, rail, load in itertools.product(self.left_out, Rail, ("", UNDER_LOAD))
        }
        return tuple(
            each
            for each in self.faults
            if not each.done and not (each.rung is Rung.SUPPLY and each.what.casefold() in gone)
        )

    def record(
        self, *, hold_passed: bool, filled: bool, bleed_failed: bool = False, hurt: Phrase | None = None
    ) -> PowerRecord:
        """Return what the ladder of the first power-on is judged by."""
        names = self.supply.hand_made if self.supply else ()
        basis = PowerBasis(
            hold_passed=hold_passed,
            filled=filled,
            hand_made=self.supply is None or bool(names),
            bleed_failed=bleed_failed,
            hurt=hurt,
        )
        return PowerRecord(
            basis=basis,
            cables=tuple(tested.verdict for tested in self.cables if tested.test.cable.name in names),
            cables_wanted=len(names),
            rails=self.rails,
            power_good=self.power_good,
            wet=self.wet,
            machine=self.machine,
            faults=(*(f for f in self.faults if f.done), *self.open_faults),
            same=tuple((said, other) for said, other in self._same(names) if other),
        )

    def _same(self, cables: tuple[str, ...]) -> Iterator[tuple[str, str]]:
        """Yield what showed the very readings of something else, and what that is; empty where of nothing."""
        for tested in self.cables:
            if tested.test.cable.name in cables:
                yield f"cable {tested.test.cable.name}", tested.same_as
        yield "this supply", self.same_rails if self.rails else ""


def apply_power(state: FirstPowerState, mark: ClockMark, payload: FirstPowerEntry) -> FirstPowerState:
    """Return the state after an entry of the first power-on; a rung that is climbed again takes away those above it."""
    match payload:
        case SupplyDescribed():
            return _described(state, payload)
        case MultimeterNamed() | PowerFaultMended():
            return _said(state, payload)
        case CableTested(test=test):
            others = tuple(tested for tested in state.cables if tested.test.cable.name != test.cable.name)
            faults = after_cable(state.faults, test.cable.name, payload.verdict)
            state = replace(state, cables=(*others, payload), faults=faults)
            return replace(state, rails=None, power_good=None, wet=None, machine=None, started=None)
        case RailsRead(verdict=verdict, power_good=power_good, left_out=left_out):
            faults = after_rails(state.faults, verdict, power_good)
            plugs = tuple(dict.fromkeys((*state.plugs, *(row.reading.plug for row in verdict.rows))))
            state = replace(state, faults=faults, plugs=plugs, left_out=left_out)
            read, same = payload.readings, payload.same_as
            state = replace(state, rails=verdict, power_good=power_good, read_last=read, same_rails=same)
            return replace(state, wet=None, machine=None, started=None)
        case PowerTestAborted():
            return _without(state, payload)
        case PumpStarted() | JointLooked() | WetWatchEnded():
            return _watched(state, mark, payload)
        case MachineStarted(verdict=verdict):
            faults = after_machine(state.faults, verdict)
            return replace(state, machine=verdict, started=payload, faults=faults)
        case FirstPowerClosed():
            return state
        case _ as unreachable:
            assert_never(unreachable)


def _said(state: FirstPowerState, payload: MultimeterNamed | PowerFaultMended) -> FirstPowerState:
    if isinstance(payload, MultimeterNamed):
        return replace(state, multimeter=payload.name, named_late=bool(state.cables or state.rails))
    return after_cure(state, payload.what, payload.done)


def after_cure(state: FirstPowerState, what: str, done: str) -> FirstPowerState:
    """Return the state after it was said what was done about a fault; the next start of the machine begins afresh.

    What was seen at a start that failed says nothing of the machine as it was put right.
    """
    failed = state.machine is not None and state.machine.outcome is Outcome.FAIL
    started = None if failed and what == str(Rung.MACHINE) else state.started
    return replace(state, faults=mended(state.faults, what, done), started=started)


def _watched(
    state: FirstPowerState, mark: ClockMark, payload: PumpStarted | JointLooked | WetWatchEnded
) -> FirstPowerState:
    match payload:
        case PumpStarted(joints=joints):
            return replace(
                state, pump_since=mark, leak_told="", joints=joints, looks=(), wet=None, machine=None, started=None
            )
        case JointLooked(look=look):
            return replace(state, looks=(*state.looks, look))
        case WetWatchEnded(watch=watch, verdict=verdict):
            faults, wet = after_watch(state.faults, watch), after_looks((), watch.looks)
            leaked = tuple(dict.fromkeys((*state.leaked, *(fault.what.removeprefix("joint ") for fault in wet))))
            state = replace(state, faults=faults, leaked=leaked)
            return replace(state, pump_since=None, wet=verdict, machine=None, started=None)
        case _ as unreachable:
            assert_never(unreachable)


def _without(state: FirstPowerState, aborted: PowerTestAborted) -> FirstPowerState:
    """Keep aside what was measured in a test that is aborted: no rung stands on it, and what failed stays a fault."""
    name = aborted.cable
    kept = AbortedTest(aborted=aborted, tested=state.cable(name))
    if not name:
        kept = AbortedTest(aborted=aborted, rails=state.rails, power_good=state.power_good)
    others = tuple(tested for tested in state.cables if not name or tested.test.cable.name != name)
    state = replace(state, aborted=(*state.aborted, kept), cables=others, same_rails="")
    return replace(state, rails=None, power_good=None, wet=None, machine=None, started=None)


def _described(state: FirstPowerState, described: SupplyDescribed) -> FirstPowerState:
    """Describe the supply; under the same name it stays the same one, with what was made, read and found on it.

    Another one has other sockets: no cable was measured for it. What was found on one counts again where that is
    described again, and so does a cable that failed, on whatever supply it is used.
    """
    before, name = state.supply, compared(described.name)
    same = before is not None and compared(before.name) == name
    now = {compared(cable) for cable in described.hand_made}

    def used(fault: PowerFault) -> bool:
        return fault.rung is Rung.CABLES and compared(fault.what.removeprefix("cable ")) in now

    if before is not None and not same:
        state = left_behind(state)
        state = _put_by(state, before, [fault for fault in state.faults if not used(fault)])
    own = [one for one in state.earlier if name in one.names]
    found = [f for one in state.earlier for f in one.faults if one in own or used(f)]
    rest = [replace(one, faults=tuple(f for f in one.faults if not used(f))) for one in state.earlier if one not in own]
    plain = {cable.casefold() for cable in described.hand_made}
    return replace(
        state,
        supply=described,
        cables=state.cables if same else (),
        made=merged(*(one.made for one in own), state.made, described.hand_made),
        plugs=merged(*(one.plugs for one in own), state.plugs),
        left_out=tuple(one for one in state.left_out if same and one.plug.casefold() not in plain),
        faults=(*found, *state.faults),
        earlier=tuple(rest),
        other_names=(),
        rails=None,
        power_good=None,
        wet=None,
        machine=None,
        started=None,
    )


def left_behind(state: FirstPowerState) -> FirstPowerState:
    """Keep aside what was measured: it says nothing of the supply and the cables that come."""
    if state.supply is None or not (state.cables or state.read_last):
        return state
    kept = Measured(supply=state.supply.name, cables=state.cables, readings=state.read_last)
    return replace(state, before=(*state.before, kept), read_last=(), same_rails="")


def _put_by(state: FirstPowerState, supply: SupplyDescribed, faults: Sequence[PowerFault]) -> FirstPowerState:
    """Keep what was found on a supply until it is described again."""
    names, own = (compared(supply.name), *state.other_names), (Rung.CABLES, Rung.SUPPLY)
    faults = tuple(fault for fault in faults if fault.rung in own)
    kept = EarlierSupply(names=names, faults=faults, plugs=state.plugs, made=state.made)
    others = tuple(fault for fault in state.faults if fault not in kept.faults)
    return replace(state, earlier=(*state.earlier, kept), faults=others, plugs=(), made=())
