"""What the entries about power, headers and chains add up to in a build, and which verdicts they take away."""

from dataclasses import replace

from commission.domain.build_state import BuildState
from commission.domain.entries import FindingRaised, Withdrawn
from commission.domain.first_power import Rung
from commission.domain.logged import Logged
from commission.domain.power_entries import (
    CableTested,
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    FirstPowerClosed,
    HeaderRemoved,
    HeadersClosed,
    HeaderSet,
    JointLooked,
    LevelSwept,
    MachineStarted,
    PowerEntry,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    SweepBegun,
    SweepTaken,
    WetWatchEnded,
)
from commission.domain.power_faults import after_cable, after_rails, after_watch
from commission.domain.power_state import PowerState, apply_power
from commission.domain.staleness import ended_run, stale_runs, started_run
from commission.domain.verdict import Outcome

FIRST_POWER = "first_power"
"""Id of the first power-on among the stages."""
FAN_HEADERS = "fan_headers"
"""Id of the fan headers among the stages."""
_NEW_LADDER = SupplyDescribed | CableTested | RailsRead | PumpStarted
"""Work after which the ladder must be judged again."""
_NEW_SEATS = ChainAdded | ChainRemoved | ChainMoved | HeaderSet | HeaderRemoved
"""Work after which the sweeps must be judged again."""


def apply_power_entry(state: BuildState, entry: Logged, payload: PowerEntry) -> BuildState:
    """Return the state after an entry about power, headers or chains."""
    power = apply_power(state.power, entry.seq, entry.mark, payload, observed_ms=entry.observed_ms)
    state = replace(state, power=_without_what_was_lost(power, entry.seq, payload))
    match payload:
        case FirstPowerClosed(attempt=attempt, verdict=verdict):
            state = stale_runs(ended_run(state, FIRST_POWER, entry), entry.seq, FAN_HEADERS)
            return _proved(state, attempt) if verdict.outcome is Outcome.PASS else state
        case HeadersClosed():
            return ended_run(state, FAN_HEADERS, entry)
        case SweepBegun() | SweepTaken():
            return started_run(state, FAN_HEADERS, entry)
        case _:
            return _reopened(state, entry, payload)


def _reopened(state: BuildState, entry: Logged, payload: PowerEntry) -> BuildState:
    """Begin the ladder where it is climbed, and take the worth of verdicts that no longer speak of what is."""
    if isinstance(payload, _NEW_LADDER):
        return started_run(stale_runs(state, entry.seq, FIRST_POWER, FAN_HEADERS), FIRST_POWER, entry)
    if isinstance(payload, MachineStarted):
        return started_run(stale_runs(state, entry.seq, FIRST_POWER), FIRST_POWER, entry)
    if isinstance(payload, _NEW_SEATS):
        return stale_runs(state, entry.seq, FAN_HEADERS)
    return state


def _proved(state: BuildState, attempt: int) -> BuildState:
    """Mark cured findings of this ladder as proved: it was climbed to the top after the cure."""
    findings = tuple(
        replace(f, proved_by=attempt) if f.raised.stage == FIRST_POWER and f.cure and f.proved_by is None else f
        for f in state.findings
    )
    return replace(state, findings=findings)


def _without_what_was_lost(power: PowerState, seq: int, payload: PowerEntry) -> PowerState:
    """Take the worth of a watch or a sweep of which a look or a level was withdrawn after it was judged."""
    match payload:
        case PumpStarted():
            return replace(power, look_lost=0)
        case SweepBegun():
            return replace(power, level_lost=0)
        case WetWatchEnded() if seq < power.look_lost:
            return replace(power, wet=None)
        case SweepTaken() if seq < power.level_lost:
            *others, taken = power.sweeps
            return replace(power, sweeps=(*others, replace(taken, stale_by=power.level_lost)))
        case _:
            return power


def power_taken_back(state: BuildState, entry: Logged, withdrawal: Logged) -> BuildState:
    """Return the state after a withdrawn entry: what failed by it no longer counts, and is told with the reason.

    What was read on a plug that failed stays wanted, and a joint that was wet stays to be looked at: else a withdrawal
    would do what leaving them out without a reason may not.
    """
    power, said = state.power, withdrawal.payload
    assert isinstance(said, Withdrawn)  # the fold looked it up
    done = f"withdrawn by entry {withdrawal.seq}: {said.reason}"
    match entry.payload:
        case CableTested(test=test, verdict=cable):
            faults = after_cable((), test.cable.name, cable)
        case RailsRead(verdict=rails, power_good=good):
            faults = after_rails((), rails, good)
            failed = [row.reading.plug for row in rails.rows if row.outcome is Outcome.FAIL]
            power = replace(power, plugs=tuple(dict.fromkeys((*power.plugs, *failed))))
        case JointLooked(look=look):
            faults = after_watch((), (look,))
            leaked = (look.joint,) if faults else ()
            power = replace(power, look_lost=withdrawal.seq, leaked=tuple(dict.fromkeys((*power.leaked, *leaked))))
        case SweepBegun() | LevelSwept():
            faults = ()
            power = replace(power, level_lost=withdrawal.seq)
        case _:
            return state
    taken_back = (*power.taken_back, *(replace(fault, done=done) for fault in faults))
    return replace(state, power=replace(power, taken_back=taken_back))


def ladder_at_fault(state: BuildState, raised: FindingRaised, seq: int) -> BuildState:
    """Take back a rung of a ladder that had passed, and those above it, where a fault was found on it."""
    judged = state.judged_run(FIRST_POWER)
    if raised.stage != FIRST_POWER or judged is None or judged.outcome is not Outcome.PASS:
        return state
    rungs = list(Rung)
    fallen = rungs[rungs.index(Rung(raised.where)) :] if raised.where in rungs else rungs
    power = state.power
    if Rung.CABLES in fallen:
        power = replace(power, cables=())
    if Rung.SUPPLY in fallen:
        power = replace(power, rails=None, power_good=None)
    if Rung.PUMP in fallen:
        power = replace(power, wet=None)
    power = replace(power, machine=None, started=None)
    return stale_runs(replace(state, power=power), seq, FIRST_POWER, FAN_HEADERS)
