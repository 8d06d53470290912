"""What the record tells of the years: when things were done, what was lost, what is in the loop, what is compared."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from commission.base.verdict import Outcome
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.done_at import done_ms
from commission.record.part_changed import PartChanged, PartOf
from commission.stages.fill.model.fill import Pour, beside
from commission.stages.handover.entries import HandedOver, ServiceDone, ToppedUp
from commission.stages.handover.judge.due import days_left, due_items
from commission.stages.handover.model import (
    DONE_ON_A_VISIT,
    DueItem,
    Loss,
    PartIn,
    PerWatt,
    ServiceItem,
    Topped,
)
from commission.stages.handover.state import HandoverState, moves_of, present_coolant

if TYPE_CHECKING:
    from commission.base.clock import ClockMark
    from commission.procedure.model import Stage
    from commission.record.build_state import BuildState
    from commission.record.logged import Logged
    from commission.record.record import Record
    from commission.stages.handover.model import Interval


def looked(kept: HandoverState) -> bool:
    """Return whether level and joints were looked at since the first handover."""
    return any(isinstance(one.payload, ServiceDone) and one.payload.item is ServiceItem.LOOK for one in kept.done)


def due_of(book: Record, state: BuildState) -> tuple[DueItem, ...]:
    """Return what is due next of a machine that was handed over, the soonest first; nothing where it was not."""
    kept = state.of(HandoverState)
    if kept.last is None:
        return ()
    return due_items(kept.last.plan, _done_ms(book, state, kept, 0))


def overdue_of(
    book: Record, state: BuildState, plan: Sequence[Interval], moment: ClockMark
) -> tuple[tuple[str, int], ...]:
    """Return what of a plan is overdue at a moment, and by how many days."""
    kept = state.of(HandoverState)
    items = due_items(plan, _done_ms(book, state, kept, moment.wall_ms))
    late = ((str(one.item), -days_left(one, moment.wall_ms, moment.offset_min)) for one in items)
    return tuple((item, days) for item, days in late if days > 0)


def clock_behind_s(book: Record, state: BuildState, moment: ClockMark) -> float:
    """Return how far a moment lies before the latest entry of a build [s]; 0 where it does not."""
    latest = max((one.mark.wall_ms for one in book.entries(state.build_id)), default=0)
    return max(0, latest - moment.wall_ms) / 1000


def _done_ms(book: Record, state: BuildState, kept: HandoverState, otherwise_ms: int) -> dict[ServiceItem, int]:
    first = done_ms(kept.handed[0]) if kept.handed else otherwise_ms
    done = dict.fromkeys(ServiceItem, first)
    for entry in kept.done:
        if isinstance(entry.payload, ServiceDone) and entry.payload.item in DONE_ON_A_VISIT:
            done[entry.payload.item] = max(done[entry.payload.item], done_ms(entry))
    bottles = coolant_in(book, state)
    if bottles:
        done[ServiceItem.COOLANT] = min(one.since_ms for one in bottles)
    soaked = state.judged_run(THERMAL_SOAK)
    if soaked is not None and soaked.closed is not None and soaked.outcome is Outcome.PASS:
        done[ServiceItem.SOAK] = done_ms(soaked.closed)
        # a soak passes only with every joint touched while hot: that is a look, too
        done[ServiceItem.LOOK] = max(done[ServiceItem.LOOK], done[ServiceItem.SOAK])
    return done


def coolant_in(book: Record, state: BuildState) -> tuple[PartIn, ...]:
    """Return the bottles of which something is in the loop, in the order in which they were poured from."""
    share = _share(book, state)
    times = {entry.seq: done_ms(entry) for entry in book.entries(state.build_id)}
    found: dict[str, PartIn] = {}
    for one in present_coolant(moves_of(state), share):
        pour = one.movement
        if not isinstance(pour, Pour) or one.seq not in times:
            continue
        before = found.get(pour.bottle.bottle_id)
        found[pour.bottle.bottle_id] = PartIn(
            name=pour.bottle.name,
            lot=pour.bottle.lot,
            volume_m3=pour.dose.volume_m3 + (0.0 if before is None else before.volume_m3),
            since_ms=times[one.seq] if before is None else before.since_ms,
        )
    return tuple(found.values())


def _share(book: Record, state: BuildState) -> float:
    from commission.procedure.stage_ids import HANDOVER

    return book.procedure(state).stage(HANDOVER).limit("changed_share")


def levels_of(entries: Iterable[Logged], state: BuildState) -> tuple[tuple[Topped, ...], int | None]:
    """Return the top-ups with the time in which each was lost, and when the level stood at its mark last [ms].

    It stands there when the machine is handed over, and after each top-up. Whatever else moves coolant, or opens the
    loop, ends such a time: what went then is no loss, and the next begins when the machine is handed back. Top-ups of
    one visit fill one gap: they count as one.
    """
    same_visit = False
    others = {one.seq for one in moves_of(state) if not beside(one.movement)}
    found: list[Topped] = []
    level: int | None = None
    first: int | None = None
    for entry in entries:
        if entry.seq in state.withdrawn:
            continue
        match entry.payload:
            case HandedOver():
                level = done_ms(entry) if level is None else level
                first = level if first is None else first
                same_visit = False
            case ToppedUp(pour=pour):
                if level is not None and first is not None:
                    before = found.pop() if same_visit else None
                    from_s = (level - first) / 1000 if before is None else before.from_s
                    gone = pour.dose.volume_m3 + (0.0 if before is None else before.gone_m3)
                    found.append(Topped(gone_m3=gone, from_s=from_s, to_s=(done_ms(entry) - first) / 1000))
                    level, same_visit = done_ms(entry), True
            case PartChanged(of=PartOf.LOOP):
                level, same_visit = None, False
            case _ if entry.seq in others:
                level, same_visit = None, False
            case _:
                pass
    return tuple(found), level


def usual_m3(stage: Stage, entries: Iterable[Logged], state: BuildState, now: int) -> float:
    """Return what is usual to top up yet [m3]: the usual loss since the level stood at its mark, and the reading.

    Both count once a visit: what was topped up on it before is taken off. And they count once for all visits since the
    level was set another way: each sets it to the same mark, so that errors of the reading do not add up.
    """
    rows = [one for one in entries if one.seq not in state.withdrawn]
    began = max((one.seq for one in state.of(HandoverState).visits), default=0)
    _, level = levels_of([one for one in rows if one.seq <= began], state)
    now_visit = [one.payload.pour for one in rows if isinstance(one.payload, ToppedUp) and one.seq > began]
    since, before_m3 = _usual_since(rows, state)
    reading, rate = stage.limit("usual_reading_m3"), stage.limit("usual_loss_m3_s")
    once, always = (reading + rate * max(0.0, (now - (now if at is None else at)) / 1000) for at in (level, since))
    return max(0.0, min(once - sum(pour.dose.volume_m3 for pour in now_visit), always - before_m3))


def _usual_since(entries: Iterable[Logged], state: BuildState) -> tuple[int | None, float]:
    """Return when the level was last set another way than by usual top-ups [ms], and what those took since [m3]."""
    others = {one.seq for one in moves_of(state) if not beside(one.movement)}
    since: int | None = None
    taken = 0.0
    for entry in entries:
        match entry.payload:
            case HandedOver():
                since = done_ms(entry) if since is None else since
            case ToppedUp(pour=pour, usual_m3=usual) if pour.dose.volume_m3 <= usual:
                taken += pour.dose.volume_m3
            case ToppedUp() | PartChanged(of=PartOf.LOOP):
                since, taken = None, 0.0
            case _ if entry.seq in others:
                since, taken = None, 0.0
            case _:
                pass
    return since, taken


def loss_of(stage: Stage, entries: Iterable[Logged], state: BuildState) -> Loss | None:
    """Judge the loss of coolant since handover; None without a top-up."""
    from commission.stages.handover.judge.loss import evaluate_loss

    topped, _ = levels_of(entries, state)
    if not topped:
        return None
    return evaluate_loss(topped, stage.limit("u_mark_m3"), stage.limit("usual_loss_m3_s"))


def per_watt_of(book: Record, stage: Stage, state: BuildState) -> PerWatt | None:
    """Compare coolant above air per watt with the last soak before the first handover; None with nothing to compare."""
    from commission.stages.handover.judge.per_watt import evaluate_per_watt

    kept = state.of(HandoverState)
    if not kept.handed:
        return None
    soaks = [one for face in book.registry.faces for one in face.compared(state)]
    before: Sequence[int] = [at for at, one in enumerate(soaks) if one.seq < kept.handed[0].seq]
    if not before:
        return None
    return evaluate_per_watt(soaks, before[-1], stage.limit("same_per_watt"))
