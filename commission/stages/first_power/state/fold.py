"""What the entries of the first power-on add up to in a build, and which verdicts they take away."""

from typing import assert_never

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.stage_ids import FIRST_POWER
from commission.record.build_state import BuildState, Finding
from commission.record.done_at import done_mark
from commission.record.entries import FindingRaised, Withdrawn
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.rungs import Rung, Rungs
from commission.record.mishap import changes_by, speaks_of_the_loop
from commission.record.staleness import ended_run, stale_runs, started_run, told
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
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.state.faults import (
    after_cable,
    after_looks,
    after_machine,
    after_rails,
    with_faults,
)
from commission.stages.first_power.state.outcomes import rung_outcomes
from commission.stages.first_power.state.power import FirstPowerState, after_cure, apply_power, left_behind
from commission.stages.first_power.state.supplies import compared


def apply_first_power(state: BuildState, entry: Logged, payload: FirstPowerEntry) -> BuildState:
    """Return the state after an entry of the first power-on."""
    power = apply_power(state.of(FirstPowerState), done_mark(entry), payload)
    if isinstance(payload, WetWatchEnded) and payload.watch.level is LevelLook.SINKING:
        power = replace(power, level_sank=entry.seq)
    state = with_power(state, _without_what_was_lost(power, entry.seq, payload))
    match payload:
        case FirstPowerClosed(attempt=attempt, verdict=verdict):
            state = told(ended_run(state, FIRST_POWER, entry), Change.POWER)
            return _proved(state, attempt) if verdict.outcome is Outcome.PASS else state
        case SupplyDescribed() | CableTested() | RailsRead() | PumpStarted():
            return told(started_run(stale_runs(state, entry.seq, FIRST_POWER), FIRST_POWER, entry), Change.POWER)
        case PowerTestAborted():
            return told(stale_runs(state, entry.seq, FIRST_POWER), Change.POWER)
        case MachineStarted():
            return started_run(stale_runs(state, entry.seq, FIRST_POWER), FIRST_POWER, entry)
        case MultimeterNamed() | PowerFaultMended() | JointLooked() | WetWatchEnded():
            return state
        case _ as unreachable:
            assert_never(unreachable)


def with_power(state: BuildState, power: FirstPowerState) -> BuildState:
    """Put what the rungs add up to in its place; what each shows is kept beside it, for whoever waits for it."""
    shown = rung_outcomes(power.record(hold_passed=False, filled=False))  # no outcome of a rung rests on these two
    fed_by = () if power.supply is None else (power.supply.name, *power.supply.hand_made)
    runs = power.pump_since is not None
    return state.with_(power).with_(Rungs(shown=shown, pump_runs=runs, joints=power.joints, fed_by=fed_by))


def _of_power(found: Finding) -> bool:
    if found.wrong is None:
        return found.raised.stage == FIRST_POWER
    return Change.BURNT in changes_by(found.wrong) and not speaks_of_the_loop(found.wrong)


def _proved(state: BuildState, attempt: int) -> BuildState:
    """Mark cured findings of this ladder as proved: it was climbed to the top after the cure."""
    findings = tuple(
        replace(f, proved_by=attempt) if _of_power(f) and f.cure and f.proved_by is None else f for f in state.findings
    )
    return replace(state, findings=findings)


def _without_what_was_lost(power: FirstPowerState, seq: int, payload: FirstPowerEntry) -> FirstPowerState:
    """Take the worth of what rests on an entry that was withdrawn after it.

    That is a watch of which a look was withdrawn, voltages read on cables whose last test was, and a watch begun on
    voltages that were.
    """
    match payload:
        case CableTested(test=test):
            return replace(power, cables_lost=tuple(one for one in power.cables_lost if one[0] != test.cable.name))
        case RailsRead() if any(seq < lost for _, lost in power.cables_lost):
            return replace(power, rails=None, power_good=None, rails_lost=0)
        case RailsRead():
            return replace(power, rails_lost=0)
        case PumpStarted():
            return replace(power, look_lost=0, rails_lost=power.rails_lost if seq < power.rails_lost else 0)
        case WetWatchEnded() if power.rails_lost or seq < power.look_lost:
            return replace(power, wet=None)
        case _:
            return power


def power_taken_back(state: BuildState, entry: Logged, withdrawal: Logged) -> BuildState:
    """Return the state after a withdrawn entry: what failed by it stays a fault until it is said what was done.

    What was read on a plug that failed stays wanted, and a joint that was wet stays to be looked at: else a withdrawal
    would do what leaving them out without a reason may not. What failed by it takes away the rungs above and what stood
    on its own before: an older pass does not come back by a withdrawal alone. What was climbed on it falls as well.
    """
    power, said = state.of(FirstPowerState), withdrawal.payload
    assert isinstance(said, Withdrawn)  # the fold looked it up
    reason = said.reason.replace("{", "(").replace("}", ")")  # nothing in it is a place for an amount
    why = f" Withdrawn by entry {withdrawal.seq}: {reason}."
    match entry.payload:
        case SupplyDescribed(name=name):
            return state.with_(replace(power, other_names=(*power.other_names, compared(name))))
        case CableTested(test=test, verdict=cable):
            failed = after_cable((), test.cable.name, cable)
            others = tuple(one for one in power.cables_lost if one[0] != test.cable.name)
            power = replace(power, cables_lost=(*others, (test.cable.name, withdrawal.seq)))
        case RailsRead(verdict=rails, power_good=good):
            failed = after_rails((), rails, good)
            low = [row.reading.plug for row in rails.rows if row.outcome is Outcome.FAIL]
            plugs = tuple(dict.fromkeys((*power.plugs, *low)))
            power = replace(power, plugs=plugs, rails_lost=withdrawal.seq)
        case JointLooked(look=look):
            failed = after_looks((), (look,))
            leaked = (look.joint,) if failed else ()
            power = replace(power, look_lost=withdrawal.seq, leaked=tuple(dict.fromkeys((*power.leaked, *leaked))))
        case MachineStarted(verdict=machine):
            failed = after_machine((), machine)
        case _:
            return state
    faults = with_faults(power.faults, [replace(one, said=one.said + why) for one in failed])
    state = with_power(state, replace(power, faults=faults))
    return _fallen_above(state, entry, withdrawal.seq) if failed else state


def _fallen_above(state: BuildState, failed: Logged, seq: int) -> BuildState:
    """Take back what stood above a rung when something failed on it, though that was withdrawn later."""
    power = state.of(FirstPowerState)
    match failed.payload:
        case CableTested():
            power = replace(power, rails=None, power_good=None, wet=None, machine=None, started=None)
        case RailsRead():
            power = replace(power, wet=None, machine=None, started=None)
        case MachineStarted():
            return stale_runs(with_power(state, replace(power, machine=None, started=None)), seq, FIRST_POWER)
        case _:
            return state  # a watch was begun before its looks: that took away what stood above
    return told(stale_runs(with_power(state, power), seq, FIRST_POWER), Change.POWER)


def machine_cured(state: BuildState, found: Finding, _seq: int) -> BuildState:
    """Take the cure of what was found after a failed start of the machine as what was done about that start."""
    if found.raised.where != Rung.MACHINE:
        return state
    power = state.of(FirstPowerState)
    return with_power(state, after_cure(power, str(Rung.MACHINE), found.cure))


def all_rungs_fallen(state: BuildState) -> BuildState:
    """Take back every rung after smoke or coolant on electronics: cable, supply and board may all be hurt.

    A pump that runs by the record still runs until somebody says that it is off.
    """
    power = left_behind(state.of(FirstPowerState))
    power = replace(power, cables=(), rails=None, power_good=None, wet=None, machine=None, started=None)
    return told(with_power(state, power), Change.POWER)


def ladder_at_fault(state: BuildState, raised: FindingRaised, seq: int) -> BuildState:
    """Take back a rung of a ladder that had passed, and those above it, where a fault was found on it."""
    judged = state.judged_run(FIRST_POWER)
    if judged is None or judged.outcome is not Outcome.PASS:
        return state
    rungs = list(Rung)
    fallen = rungs[rungs.index(Rung(raised.where)) :] if raised.where in rungs else rungs
    power = state.of(FirstPowerState)
    if Rung.CABLES in fallen:
        power = replace(power, cables=())
    if Rung.SUPPLY in fallen:
        power = replace(power, rails=None, power_good=None)
    if Rung.PUMP in fallen:
        power = replace(power, wet=None)
    power = replace(power, machine=None, started=None)
    return told(stale_runs(with_power(state, power), seq, FIRST_POWER), Change.POWER)
