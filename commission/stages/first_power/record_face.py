"""What the record asks of the first power-on."""

from collections.abc import Mapping
from typing import get_args

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.model import Procedure
from commission.procedure.stage_ids import FIRST_POWER
from commission.record.build_state import BuildState
from commission.record.entries import FindingCured, FindingRaised
from commission.record.face import RecordFace
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.rungs import Rungs
from commission.record.mishap import WentWrong, changes_by, speaks_of_the_loop
from commission.record.part_changed import PartChanged, PartOf
from commission.record.payload import Payload
from commission.record.ports import Working
from commission.record.staleness import stale_runs
from commission.record.undoing import Reach, Undoing
from commission.stages.first_power.entries import (
    CableTested,
    FirstPowerClosed,
    FirstPowerEntry,
    JointLooked,
    MachineStarted,
    MultimeterNamed,
    PowerTestAborted,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    WetWatchEnded,
)
from commission.stages.first_power.state.fold import (
    all_rungs_fallen,
    apply_first_power,
    ladder_at_fault,
    machine_cured,
    power_taken_back,
)
from commission.stages.first_power.state.power import FirstPowerState


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, FirstPowerEntry)  # the registry asks for these kinds only
    return apply_first_power(state, entry, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str]) -> str:
    from commission.stages.first_power.text import power_text

    assert isinstance(payload, FirstPowerEntry)  # the registry asks for these kinds only
    return power_text(payload)


def _admit(state: BuildState, _procedure: Procedure, entry: Logged) -> None:
    power, payload = state.of(FirstPowerState), entry.payload
    match payload:
        case JointLooked() | WetWatchEnded() if power.pump_since is None:
            raise NotAllowed("the pump was not started before it")
        case JointLooked(look=look) if look.joint not in power.joints:
            raise NotAllowed("it looks at a joint that is not on the list of the watch")
        case PowerTestAborted(cable=cable) if not power.measured(cable):
            raise NotAllowed("nothing was measured before it that it could abort")
        case _:
            _refuse_bare(power, payload)


def _refuse_bare(power: FirstPowerState, payload: Payload) -> None:
    """Raise NotAllowed where a pass rests on nothing that anybody saw."""
    match payload:
        case CableTested(verdict=verdict, test=test):
            seen = bool(test.continuity)
        case RailsRead(verdict=verdict, readings=readings):
            seen = bool(readings)
        case WetWatchEnded(verdict=verdict):
            seen = bool(power.looks)
        case FirstPowerClosed(verdict=verdict):
            seen = bool(power.rails and power.wet and power.machine)
        case _:
            return
    if verdict.outcome is Outcome.PASS and not seen:
        raise NotAllowed("it passed, and nothing was seen for that")


def _went_wrong(state: BuildState, entry: Logged, wrong: WentWrong) -> BuildState:
    power = state.of(FirstPowerState)
    if power.pump_since is not None and speaks_of_the_loop(wrong) and isinstance(entry.payload, WentWrong):
        state = state.with_(replace(power, leak_told=wrong.where))
    return all_rungs_fallen(state) if Change.BURNT in changes_by(wrong) else state


def _part_changed(state: BuildState, entry: Logged, part: PartChanged) -> BuildState:
    """Take back every rung with a supply or cable that nobody measured."""
    if part.of is not PartOf.SUPPLY:
        return state
    return stale_runs(all_rungs_fallen(state), entry.seq, FIRST_POWER)


def _refuse_withdrawal(_state: BuildState, entry: Logged) -> None:
    """Refuse to make a leak watch go on that was ended: its time would be counted with the pump off."""
    if isinstance(entry.payload, WetWatchEnded):
        raise NotAllowed(
            "that leak watch is over and the pump was off at its end. Watch again where something was mistyped"
        )


def _again(book: Working, entry: Logged) -> object:
    """Measure, watch, start or end once more, by what was seen then."""
    from commission.stages.first_power.work.first_power import FirstPower

    work, build = book.work(FirstPower), entry.build
    match entry.payload:
        case CableTested(test=test, same_as=same_as):
            return work.test_cable(build, test, same_as=same_as)
        case RailsRead(readings=readings, power_good=good, left_out=left_out):
            delay_ms = None if good is None else good.delay_ms
            return work.read_rails(build, readings, power_good_ms=delay_ms, left_out=left_out)
        case WetWatchEnded(watch=watch):
            return work.end_watch(build, level=watch.level, noise=watch.noise)
        case MachineStarted(start=start):
            return work.start_machine(build, start)
        case _:
            return work.close(build)


RECORD = RecordFace(
    id=FIRST_POWER,
    kinds=get_args(FirstPowerEntry),
    fold=_fold,
    admit=_admit,
    text=_text,
    ends=(FirstPowerClosed,),
    again=dict.fromkeys((CableTested, RailsRead, WetWatchEnded, MachineStarted, FirstPowerClosed), _again),
    kept=(PumpStarted, FirstPowerClosed, PowerTestAborted),
    states=(FirstPowerState, Rungs),
    described=(SupplyDescribed, MultimeterNamed, PowerTestAborted),
    refuse_withdrawal=_refuse_withdrawal,
    taken_back=power_taken_back,
    at_fault=ladder_at_fault,
    cured=machine_cured,
    went_wrong=_went_wrong,
    part_changed=_part_changed,
    no_override=(
        "the first power-on has a lock for each step, and no reason opens them: a dry or "
        "leaking loop costs the pump, or the machine"
    ),
    undoes=(
        *(
            Undoing(kind, "", (Change.POWER,), Reach.OWN)
            for kind in (SupplyDescribed, CableTested, RailsRead, PowerTestAborted, PumpStarted)
        ),
        Undoing(MachineStarted, "", (), Reach.OWN),
        Undoing(FirstPowerClosed, "", (Change.POWER,)),
        Undoing(FindingRaised, "at the first power-on, after it passed", (Change.POWER,), Reach.OWN),
        Undoing(WentWrong, "smoke, or electronics got wet", (Change.POWER,)),
        Undoing(FindingCured, "something was done after smoke, or about electronics that got wet", (Change.POWER,)),
        Undoing(PartChanged, "the supply or a cable of it", (Change.POWER,), Reach.OWN),
    ),
    stale_on=frozenset(
        {Change.LIQUID, Change.ANOTHER_LOOP, Change.PUMP_SEAT, Change.AIR_LEFT, Change.LEAKED, Change.BURNT}
    ),
)
"""The first power-on as the record sees it."""
