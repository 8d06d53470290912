"""What the entries about power, headers and chains add up to in a build, and which verdicts they take away."""

from dataclasses import replace

from commission.domain.build_state import BuildState
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
    MachineStarted,
    PowerEntry,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    SweepBegun,
    SweepTaken,
)
from commission.domain.power_state import apply_power
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
    state = replace(state, power=power)
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
