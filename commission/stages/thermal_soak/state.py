"""What the entries of a thermal soak add up to in a build."""

import math
from typing import assert_never

from commission.base.clock import elapsed_between
from commission.base.frozen import Frozen, replace
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.build_state import BuildState
from commission.record.done_at import done_mark, restarted_between
from commission.record.entries import Withdrawn
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.staleness import ended_run, put_run, told
from commission.stages.thermal_soak.entries import (
    ComponentLimited,
    HotJointsLooked,
    SoakClosed,
    SoakEntry,
    SoakRead,
    SoakStarted,
)
from commission.stages.thermal_soak.model import HotLook, PartLimit, SoakPlan, SoakReading

LATE_S = 600.0
"""A reading that is written down so long after it was read was not seen to arrive [s]; our choice: who types what the
display shows is quicker."""


class SoakTaken(Frozen):
    """What one entry brought."""

    seq: int
    """Number of the entry."""
    readings: tuple[SoakReading, ...]
    """Its readings."""
    late: bool = False
    """Whether it was written down long after the first of them: they were not seen to arrive."""
    same_as: str = ""
    """The earlier soak with the very same readings, where that was said to be right."""


class EarlierSoak(Frozen):
    """What was read in a soak before, withdrawn or not."""

    attempt: int
    """Which attempt, from 1."""
    readings: tuple[SoakReading, ...]
    """Its readings in order."""


class Limited(Frozen):
    """A limit of a component that was typed."""

    seq: int
    """Number of the entry."""
    limit: PartLimit
    """The limit."""


class Looked(Frozen):
    """What one entry says of hot joints."""

    seq: int
    """Number of the entry."""
    looks: tuple[HotLook, ...]
    """A look at each of them."""


class Lost(Frozen):
    """What an entry of the soak said that was withdrawn."""

    seq: int
    """Number of the entry."""
    reason: str
    """Why it was withdrawn, as typed."""
    readings: tuple[SoakReading, ...] = ()
    """Its readings."""
    looks: tuple[HotLook, ...] = ()
    """Its looks at hot joints."""


class HotPart(Frozen):
    """How warm a component was at the most in a soak that was ended."""

    attempt: int
    """Which attempt, from 1."""
    name: str
    """The component."""
    most_k: float
    """The warmest that it was read [K]."""
    load_w: float | None
    """The load then, or as it was last read before [W]; None where nobody read it."""


class SoakState(Frozen):
    """What the thermal soak keeps of a build."""

    plan: SoakPlan = SoakPlan()
    """What is known of coolant and displays."""
    taken: tuple[SoakTaken, ...] = ()
    """What the entries of the soak that goes on, or was judged last, brought."""

    limited: tuple[Limited, ...] = ()
    """Limits of components, typed for any soak of this machine; the last of a name counts."""
    looked: tuple[Looked, ...] = ()
    """Looks at hot joints in that soak."""
    lost: tuple[Lost, ...] = ()
    """What of that soak was withdrawn."""
    hottest: tuple[HotPart, ...] = ()
    """How warm each component was in every soak that was ended."""
    earlier: tuple[EarlierSoak, ...] = ()
    """What was read in the soaks before that one."""
    restarted: bool = False
    """Whether the computer was restarted between its start and a reading."""

    @property
    def looks(self) -> tuple[HotLook, ...]:
        """All looks at hot joints, in order."""
        return tuple(look for one in self.looked for look in one.looks)

    def limits(self, before: float = math.inf) -> tuple[PartLimit, ...]:
        """Return the limits that count, as typed before an entry; one of each name, whatever its capitals."""
        found = {one.limit.name.casefold(): one.limit for one in self.limited if one.seq < before}
        return tuple(found.values())

    @property
    def readings(self) -> tuple[SoakReading, ...]:
        """All readings in order."""
        return tuple(reading for one in self.taken for reading in one.readings)

    @property
    def arrived_late(self) -> bool:
        """Whether some of them were written down long after they were read."""
        return any(one.late for one in self.taken)


def apply_soak(state: BuildState, entry: Logged, payload: SoakEntry) -> BuildState:
    """Return the state after an entry of a soak."""
    match payload:
        case SoakStarted(plan=plan):
            kept, earlier = state.of(SoakState), earlier_soaks(state)
            run = replace(state.run(THERMAL_SOAK), started=entry)
            begun = SoakState(plan=plan, limited=kept.limited, hottest=kept.hottest, earlier=earlier)
            return put_run(state, THERMAL_SOAK, run).with_(begun)
        case SoakRead(readings=readings, same_as=same_as):
            kept, late = state.of(SoakState), _late(state, entry, readings)
            taken = SoakTaken(seq=entry.seq, readings=readings, late=late, same_as=same_as)
            restarted = kept.restarted or restarted_between(state.run(THERMAL_SOAK).started, entry)
            return state.with_(replace(kept, taken=(*kept.taken, taken), restarted=restarted))
        case ComponentLimited(name=name, most=most, source=source):
            kept, limit = state.of(SoakState), PartLimit(name=name, most_k=most.si, source=source)
            return state.with_(replace(kept, limited=(*kept.limited, Limited(seq=entry.seq, limit=limit))))
        case HotJointsLooked():
            return _looked(state, entry, payload)
        case SoakClosed(attempt=attempt, verdict=verdict):
            kept = state.of(SoakState)
            state = state.with_(replace(kept, hottest=(*kept.hottest, *_hottest(attempt, kept.readings))))
            state = ended_run(state, THERMAL_SOAK, entry)
            return told(state, Change.LEVEL_FELL) if verdict.lacks_coolant else state
        case _ as unreachable:
            assert_never(unreachable)


def earlier_soaks(state: BuildState) -> tuple[EarlierSoak, ...]:
    """Return what was read in the soaks before the one that goes on or comes next: what stands, and what was withdrawn.

    Of each, an entry that was withdrawn stands by itself.
    """
    kept, run = state.of(SoakState), state.run(THERMAL_SOAK)
    if run.running:
        return kept.earlier
    read = (kept.readings, *(one.readings for one in kept.lost))
    last = (EarlierSoak(attempt=run.attempt - 1, readings=readings) for readings in read if readings)
    return (*kept.earlier, *last)


def _looked(state: BuildState, entry: Logged, payload: HotJointsLooked) -> BuildState:
    """Return the state after a look at hot joints, at the time of its entry."""
    started, kept = state.run(THERMAL_SOAK).started, state.of(SoakState)
    at_s = 0.0 if started is None else elapsed_between(done_mark(started), done_mark(entry)).elapsed_s
    looks = tuple(HotLook(joint=joint, paper=payload.paper, elapsed_s=at_s) for joint in payload.joints)
    return state.with_(replace(kept, looked=(*kept.looked, Looked(seq=entry.seq, looks=looks))))


def _hottest(attempt: int, readings: tuple[SoakReading, ...]) -> tuple[HotPart, ...]:
    """Return how warm each component was at the most, and at which load."""
    found, load_w = dict[str, HotPart](), None
    for reading in readings:
        load_w = load_w if reading.load_w is None else reading.load_w
        for part in reading.components:
            known = found.get(part.name)
            if known is None or part.value > known.most_k:
                found[part.name] = HotPart(attempt=attempt, name=part.name, most_k=part.value, load_w=load_w)
    return tuple(found.values())


def soak_taken_back(state: BuildState, entry: Logged, withdrawal: Logged) -> BuildState:
    """Return the state after a withdrawn entry: its readings and looks no longer count, and are not forgotten."""
    kept, said = state.of(SoakState), withdrawal.payload
    assert isinstance(said, Withdrawn)  # the fold looked it up
    match entry.payload:
        case SoakRead(readings=readings):
            lost = Lost(seq=entry.seq, reason=said.reason, readings=readings)
        case HotJointsLooked(joints=joints, paper=paper):
            looks = tuple(HotLook(joint=joint, paper=paper, elapsed_s=0.0) for joint in joints)
            lost = Lost(seq=entry.seq, reason=said.reason, looks=looks)
        case _:
            return state
    return state.with_(replace(kept, lost=(*kept.lost, lost)))


def _late(state: BuildState, entry: Logged, readings: tuple[SoakReading, ...]) -> bool:
    started = state.run(THERMAL_SOAK).started
    if started is None or not readings:
        return False
    return elapsed_between(done_mark(started), entry.mark).elapsed_s - readings[0].elapsed_s > LATE_S
