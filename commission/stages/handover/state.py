"""What the entries about handovers and visits add up to in a build."""

from typing import assert_never

from commission.base.frozen import Frozen, replace
from commission.procedure.stage_ids import HANDOVER
from commission.record.build_state import BuildState
from commission.record.entries import Withdrawn
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.staleness import ended_run, put_run, told
from commission.stages.fill.model.fill import Pour, beside
from commission.stages.fill.state import FillState, Moved, moved, same_coolant
from commission.stages.handover.entries import (
    CoolantLifeRead,
    HandedOver,
    HandoverEntry,
    ServiceDone,
    SparesNamed,
    ToppedUp,
    VisitBegun,
)


class LostTopUp(Frozen):
    """A top-up that was withdrawn."""

    seq: int
    """Its entry."""
    volume_m3: float
    """How much it was [m3]."""
    usual_m3: float
    """So much was usual then [m3]."""
    reason: str
    """Why it was withdrawn, as typed."""


class HandoverState(Frozen):
    """What the handover keeps of a build."""

    spares: SparesNamed | None = None
    """Spare parts and bottle as last named; None before."""
    life: CoolantLifeRead | None = None
    """What the bottle states of the coolant's life; None before it was asked."""
    handed: tuple[Logged, ...] = ()
    """Every handover, in order."""
    visits: tuple[Logged, ...] = ()
    """Entries that began a visit, in order."""
    topped: tuple[Logged, ...] = ()
    """Top-ups on visits, in order."""
    done: tuple[Logged, ...] = ()
    """What of the service plan was done on visits, in order."""
    lost: tuple[LostTopUp, ...] = ()
    """Top-ups of the last visit that were withdrawn, in order."""

    @property
    def visit_seq(self) -> int:
        """The entry that began the last visit; 0 before the first."""
        return self.visits[-1].seq if self.visits else 0

    @property
    def topped_now(self) -> tuple[Logged, ...]:
        """Top-ups since the last visit began, in order."""
        return tuple(one for one in self.topped if one.seq > self.visit_seq)

    @property
    def last(self) -> HandedOver | None:
        """The last handover; None before the first."""
        payload = self.handed[-1].payload if self.handed else None
        return payload if isinstance(payload, HandedOver) else None


def apply_handover(state: BuildState, entry: Logged, payload: HandoverEntry) -> BuildState:
    """Return the state after an entry about a handover or a visit."""
    kept = state.of(HandoverState)
    match payload:
        case SparesNamed():
            return state.with_(replace(kept, spares=payload))
        case CoolantLifeRead():
            return state.with_(replace(kept, life=payload))
        case HandedOver():
            return ended_run(state, HANDOVER, entry).with_(replace(kept, handed=(*kept.handed, entry)))
        case VisitBegun():
            run = replace(state.run(HANDOVER), started=entry)
            return put_run(state, HANDOVER, run).with_(replace(kept, visits=(*kept.visits, entry), lost=()))
        case ToppedUp():
            return _topped(state.with_(replace(kept, topped=(*kept.topped, entry))), entry, payload)
        case ServiceDone():
            return state.with_(replace(kept, done=(*kept.done, entry)))
        case _ as unreachable:
            assert_never(unreachable)


def _topped(state: BuildState, entry: Logged, topped: ToppedUp) -> BuildState:
    """Add a top-up; one that is usual takes no proof, since that much goes through tube and seals by itself."""
    pour = topped.pour
    after = moved(state, entry, HANDOVER, pour)
    if not same_coolant(state.of(FillState), pour):
        return told(after, Change.LIQUID)
    unusual = pour.dose.volume_m3 > topped.usual_m3
    if unusual or Change.LIQUID in after.news:
        return after
    return replace(after, news=state.news)


def visit_taken_back(state: BuildState, entry: Logged, withdrawal: Logged) -> BuildState:
    """Return the state after a withdrawn entry: a top-up no longer counts, and is not forgotten.

    One may be a slip, the largest. Where the others are more than usual together, coolant went in all the same for all
    that is known: the loop is bled again, as after a top-up of so much.
    """
    said = withdrawal.payload
    assert isinstance(said, Withdrawn)  # the fold looked it up
    if not isinstance(entry.payload, ToppedUp):
        return state
    pour, kept = entry.payload.pour, state.of(HandoverState)
    gone = LostTopUp(seq=entry.seq, volume_m3=pour.dose.volume_m3, usual_m3=entry.payload.usual_m3, reason=said.reason)
    lost = (*kept.lost, gone)
    state = state.with_(replace(kept, lost=lost))
    volumes = [one.volume_m3 for one in lost]
    no_slip = sum(volumes) - max(volumes) > max(one.usual_m3 for one in lost)
    return told(state, Change.TOP_UP) if no_slip else state


def visiting(state: BuildState) -> VisitBegun | None:
    """Return the visit that goes on; None where none does."""
    started = state.run(HANDOVER).started
    payload = None if started is None or not state.run(HANDOVER).running else started.payload
    return payload if isinstance(payload, VisitBegun) else None


def present_coolant(moves: tuple[Moved, ...], left_share: float) -> tuple[Moved, ...]:
    """Return the movements of the coolant that is in now: those after it was last let out but for a share of it."""
    first, volume_m3, most_m3 = 0, 0.0, 0.0
    for at, one in enumerate(moves):
        volume_m3 += signed_m3(one)
        most_m3 = max(most_m3, volume_m3)
        if volume_m3 <= left_share * most_m3 and signed_m3(one) < 0:
            first, most_m3 = at + 1, max(volume_m3, 0.0)
    return moves[first:]


def signed_m3(one: Moved) -> float:
    """Return what a movement added to the loop [m3], below 0 where it took something out."""
    if beside(one.movement):
        return 0.0
    volume = one.movement.dose.volume_m3
    return volume if isinstance(one.movement, Pour) else -volume


def moves_of(state: BuildState) -> tuple[Moved, ...]:
    """Return everything that went into or out of the loop."""
    return state.of(FillState).moves
