"""What the entries of a thermal soak add up to in a build."""

from typing import assert_never

from commission.base.frozen import Frozen, replace
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.build_state import BuildState
from commission.record.logged import Logged
from commission.record.staleness import ended_run, put_run
from commission.stages.thermal_soak.entries import SoakClosed, SoakEntry, SoakRead, SoakStarted
from commission.stages.thermal_soak.model import SoakPlan, SoakReading


class SoakTaken(Frozen):
    """What one entry brought."""

    seq: int
    """Number of the entry."""
    readings: tuple[SoakReading, ...]
    """Its readings."""


class SoakState(Frozen):
    """What the thermal soak keeps of a build."""

    plan: SoakPlan = SoakPlan()
    """What is known of coolant and displays."""
    taken: tuple[SoakTaken, ...] = ()
    """What the entries of the soak that goes on, or was judged last, brought."""

    @property
    def readings(self) -> tuple[SoakReading, ...]:
        """All readings in order."""
        return tuple(reading for one in self.taken for reading in one.readings)


def apply_soak(state: BuildState, entry: Logged, payload: SoakEntry) -> BuildState:
    """Return the state after an entry of a soak."""
    match payload:
        case SoakStarted(plan=plan):
            run = replace(state.run(THERMAL_SOAK), started=entry)
            return put_run(state, THERMAL_SOAK, run).with_(SoakState(plan=plan))
        case SoakRead(readings=readings):
            kept = state.of(SoakState)
            return state.with_(replace(kept, taken=(*kept.taken, SoakTaken(seq=entry.seq, readings=readings))))
        case SoakClosed():
            return ended_run(state, THERMAL_SOAK, entry)
        case _ as unreachable:
            assert_never(unreachable)
