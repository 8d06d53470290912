"""The bleed in the log: cycles, top-ups, squeezing, and what they prove about the air that is left."""

import math
from collections.abc import Sequence

from commission.base.clock import elapsed_between
from commission.base.errors import InputError, NotAllowed, in_words
from commission.base.frozen import replace
from commission.base.quantity import Phrase, Quantity
from commission.physics.loop_volume import Uncertain
from commission.procedure.model import When
from commission.procedure.stage_ids import BLEED, FILL
from commission.record.build_state import BuildState
from commission.record.done_at import done_mark
from commission.record.locks import FORBID_THE_PUMP, refuse_pump
from commission.record.logged import Logged
from commission.record.machine.ratings import refuse_above_rating, refuse_unrated
from commission.record.past import RESTARTED
from commission.record.record import Record
from commission.record.stage_work import StageWork
from commission.record.staleness import shown_run
from commission.record.taken_back import TakenBack, told_of
from commission.stages.bleed.entries import AirSqueezed, BleedClosed, BleedCycleDone, BleedStarted
from commission.stages.bleed.model import (
    BleedCycle,
    BleedLoop,
    BleedRule,
    BleedVerdict,
    GoneBy,
    PumpState,
    SqueezeCheck,
    SqueezeResult,
    TimedCycle,
)
from commission.stages.bleed.state import BleedState, LostCycle
from commission.stages.fill.model.fill import Evaporation, Movement, Pour, beside
from commission.stages.fill.state import FillState, LostMove, Moved
from commission.stages.fill.work.fills import Fills
from commission.stages.fill.work.judged import took_more_than_lacked
from commission.stages.fill.work.levels import sure_falls

CLOCK_SLACK_S = 60.0
"""A cycle may be said to have run longer than the clock has room for by so much [s]; our choice: minutes are typed
whole."""


OF_A_BLEED = (When.BEFORE_PUMP, When.BLEEDING, When.SQUEEZING)
"""The moments of a bleed whose cautions are printed where nobody can be asked: all of them."""


class Bleeds(StageWork):
    """The use cases of the bleed."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, BLEED)
        self._fill = book.work(Fills)
        self._judged: tuple[BuildState, BleedVerdict] | None = None

    def start(self, build_id: str) -> Logged:
        """Begin to bleed: from here on the pump may run.

        Raises
        ------
        NotAllowed
            If the fill does not allow it, cautions are unanswered, or a bleed goes on already.
        """
        state = self.answered(build_id, When.BEFORE_PUMP)
        if state.run(BLEED).running:
            raise NotAllowed("a bleed goes on already; record its cycles, or end it")
        refuse_pump(state)
        self._refuse_dry_pump(state)
        return self.book.record(build_id, BleedStarted(attempt=state.run(BLEED).attempt))

    def cycle(self, build_id: str, cycle: BleedCycle, pour: Pour | None = None) -> Logged:
        """Record one cycle, with the top-up that took the place of the air.

        Raises
        ------
        NotAllowed
            If no bleed was begun, or the pump may not run on what powers it now.
        InputError
            If a figure makes no sense, or the bottle cannot have held that much.
        """
        from commission.stages.fill.judge.dose import check_against_bottle

        state = self._running(build_id)
        refuse_pump(state)
        self.answered(build_id, When.BEFORE_PUMP)
        if cycle.run_s < 0 or cycle.resolution_m3 <= 0:
            raise InputError("the time run must be 0 or more and the resolution above 0; correct the figures")
        if pour is not None:
            check_against_bottle(pour.dose, self._fill.remaining_m3(pour.bottle))
        attempt = state.run(BLEED).attempt
        return self.book.record(build_id, BleedCycleDone(attempt=attempt, cycle=cycle, pour=pour))

    def time_for_run_s(self, state: BuildState) -> float:
        """Return for how long the pump can have run since the cycle before, or the start, by the clock [s]."""
        started = state.run(BLEED).started
        if started is None:
            return 0.0
        since = elapsed_between(done_mark(started), self.book.past.moment()).elapsed_s
        return since - max((timed.elapsed_s for timed in state.of(BleedState).cycles), default=0.0)

    def clock_contradicts(self, state: BuildState, cycle: BleedCycle) -> bool:
        """Return whether a cycle is said to have run longer than the clock has room for."""
        return cycle.pump is not PumpState.STOPPED and cycle.run_s > self.time_for_run_s(state) + CLOCK_SLACK_S

    def squeeze(self, build_id: str, check: SqueezeCheck) -> SqueezeResult:
        """Record a squeeze and return what it tells.

        Raises
        ------
        NotAllowed
            If no bleed was begun, or the pressure is above the rating of the weakest part.
        InputError
            If the figures make no sense.
        """
        from commission.stages.bleed.judge.squeeze import evaluate_squeeze

        state = self._running(build_id)
        refuse_unrated(state.parts, can_leave_out=False)
        # what was typed off the gauge; the rise alone would forget the pressure that stood there before
        typed = [one.si for one in check.inputs if one.quantity is Quantity.GAUGE_PRESSURE]
        refuse_above_rating(
            state.parts, max([check.second_pa - check.first_pa, *typed]), "the squeeze", can_leave_out=False
        )
        with in_words():
            result = evaluate_squeeze(check)
        self.book.record(build_id, AirSqueezed(attempt=state.run(BLEED).attempt, check=check, result=result))
        return result

    def rule(self, state: BuildState) -> BleedRule:
        """Return when the loop counts as bled."""
        stage = self.stage(state)
        return BleedRule(
            last_cycles=round(stage.limit("last_cycles")),
            span_s=stage.limit("span_s"),
            top_up_m3=stage.limit("top_up_m3"),
        )

    def verdict(self, state: BuildState) -> BleedVerdict:
        """Judge the bleed as it stands; the same state is judged once."""
        if self._judged is None or self._judged[0] is not state:
            self._judged = state, self._judge(state, running=state.run(BLEED).running)
        return self._judged[1]

    def close(self, build_id: str) -> BleedVerdict:
        """End the bleed and judge it for the record.

        Raises
        ------
        NotAllowed
            If no bleed was begun.
        """
        state = self._running(build_id)
        verdict = replace(self._judge(state, running=False), picture=None)
        attempt = state.run(BLEED).attempt
        self.book.record(build_id, BleedClosed(attempt=attempt, verdict=verdict, program=self.book.program))
        return verdict

    def _judge(self, state: BuildState, *, running: bool) -> BleedVerdict:
        from commission.stages.bleed.judge.reasons import MORE_CAME_OUT
        from commission.stages.bleed.judge.verdict import broke_the_rule, evaluate_bleed

        kept, rule = state.of(BleedState), self.rule(state)
        lost, amounts = [one for one in kept.lost if broke_the_rule(one.timed, rule)], lost_beside(state)
        against = [reason for reason in self._fill.verdict(state).reasons if reason.code in FORBID_THE_PUMP]
        if not against and ran_out(state):
            against = [MORE_CAME_OUT]
        verdict = evaluate_bleed(
            cycles_by_levels(state),
            rule,
            self._loop(state),
            running=running,
            amiss=next(iter(against), None),
            restart=begins_again(state, lost, amounts),
        )
        levels = lost_levels(state, rule)
        taken = [*map(taken_back, lost), *(one.taken_back for one in amounts), *levels]
        taken.sort(key=lambda one: one.seq)
        told = (*told_of(taken), *((RESTARTED,) if kept.restarted else ()))
        reasons = (*verdict.reasons[:1], *told, *verdict.reasons[1:])
        return replace(verdict, reasons=self.book.past.saying_so(reasons, state, shown_run(state, BLEED)))

    def _loop(self, state: BuildState) -> BleedLoop | None:
        from commission.stages.fill.judge.mixture import fold_movements

        movements = state.of(FillState).movements
        states = fold_movements(movements)
        if not states or states[-1].volume_m3 <= 0:
            return None
        fill_k = next((moved.dose.at_k for moved in movements if isinstance(moved, Pour)), 293.15)
        hot_k = self.stage(state).limit("first_hot_k")
        return BleedLoop(liquid_m3=states[-1].volume_m3, fill_k=fill_k, hot_k=max(fill_k, hot_k))

    def _refuse_dry_pump(self, state: BuildState) -> None:
        """Refuse the pump where the fill says that it could run dry; no override reaches this."""
        verdict = self._fill.verdict(state)
        codes = {reason.code for reason in verdict.reasons}
        if verdict.filled_m3 <= 2 * verdict.u_filled_m3 or codes & FORBID_THE_PUMP:
            raise NotAllowed("the fill does not allow a running pump: it could run dry; fill first")
        judged = state.judged_run(FILL)
        answered = judged.acknowledged | judged.printed if judged is not None else frozenset()
        if set(self._fill.missing_cautions(state, When.BEFORE_PUMP)) - answered:
            raise NotAllowed("the cautions about the pump are not answered yet; answer them in the fill first")

    def _running(self, build_id: str) -> BuildState:
        state = self.unlocked(build_id)
        if not state.run(BLEED).running:
            raise NotAllowed("no bleed was begun; begin it first")
        return state


def begins_again(
    state: BuildState, lost: Sequence[LostCycle], amounts: Sequence[LostMove]
) -> tuple[int, Phrase] | None:
    """Return the last entry behind which the row of cycles begins again, and why; None where there is none.

    That is coolant that was moved beside the cycles, though that was withdrawn: they do not show what the loop took.
    And a cycle that broke the rule and was withdrawn.
    """
    from commission.stages.bleed.judge.reasons import AMOUNT_WITHDRAWN, COOLANT_MOVED, CYCLE_WITHDRAWN

    moved = [(seq, COOLANT_MOVED) for seq in _moved_beside(state, state.of(FillState).moves)]
    moved += [(one.moved.seq, AMOUNT_WITHDRAWN) for one in amounts]
    return max([*moved, *((one.timed.seq, CYCLE_WITHDRAWN) for one in lost)], key=lambda one: one[0], default=None)


def lost_beside(state: BuildState) -> list[LostMove]:
    """Return the amounts beside the cycles that were withdrawn; what stands counts with them."""
    kept = state.of(FillState)
    every = sorted((*kept.moves, *(one.moved for one in kept.lost)), key=lambda one: one.seq)
    beside_them = set(_moved_beside(state, every))
    return [one for one in kept.lost if one.moved.seq in beside_them]


def _moved_beside(state: BuildState, moves: Sequence[Moved]) -> list[int]:
    """Return the entries that moved coolant beside the cycles; what only fills up a level that dropped is none."""
    run = shown_run(state, BLEED)
    if run.started is None:
        return []
    last = math.inf if run.closed is None else run.closed.seq
    cycles = state.of(BleedState).cycles
    own, found, filled_m3 = {timed.seq for timed in cycles}, [], 0.0
    for one in moves:
        if not run.started.seq < one.seq < last or one.seq in own or not _by_hand(one.movement):
            continue
        fell = [t.cycle for t in cycles if t.seq < one.seq and t.cycle.gone_by is GoneBy.LEVEL_DROP]
        room = sum(cycle.gone_m3 + cycle.resolution_m3 for cycle in fell)
        filled_m3 += one.movement.dose.volume_m3 if isinstance(one.movement, Pour) else math.inf
        if filled_m3 > room:
            found.append(one.seq)
    return found


def _by_hand(movement: Movement) -> bool:
    return not beside(movement) and not isinstance(movement, Evaporation)


def cycles_by_levels(state: BuildState) -> tuple[TimedCycle, ...]:
    """Return the cycles with what the levels that were read beside them say that they took more."""
    from commission.stages.bleed.judge.by_levels import Fall, with_falls

    run, cycles = shown_run(state, BLEED), state.of(BleedState).cycles
    if run.started is None or not state.of(FillState).levels:
        return cycles
    falls = sure_falls(state, run.started.seq, math.inf if run.closed is None else run.closed.seq)
    return with_falls(cycles, [Fall(after=a, before=b, sure_m3=m3) for a, b, m3 in falls])


def lost_levels(state: BuildState, rule: BleedRule) -> list[TakenBack]:
    """Return the withdrawn levels by which a cycle took more than it may, beyond what the others say."""
    run, kept = shown_run(state, BLEED), state.of(FillState)
    if run.started is None:
        return []
    fell_m3, found = sum(timed.fell_m3 for timed in cycles_by_levels(state)), []
    for lost in kept.lost_levels:
        read = sorted((*kept.levels, lost.seen), key=lambda one: one.seq)
        then = cycles_by_levels(state.with_(replace(kept, levels=tuple(read))))
        if sum(timed.fell_m3 for timed in then) > fell_m3 + rule.top_up_m3:
            found.append(TakenBack(seq=lost.seen.seq, what=f"level {lost.seen.read.level.typed}", reason=lost.reason))
    return found


def taken_back(lost: LostCycle) -> TakenBack:
    """Return a withdrawn cycle in a few words."""
    cycle = lost.timed.cycle
    what = f"a cycle that took {1e6 * cycle.gone_m3:.0f} mL, bubbles {cycle.bubbles}, pump {cycle.noise}"
    return TakenBack(seq=lost.timed.seq, what=what, reason=lost.reason)


def ran_out(state: BuildState) -> bool:
    """Return whether the cycles took more, for sure, than was missing when the bleed began.

    A reading may be off by its resolution either way: u = a / sqrt(3). Source: JCGM 100:2008, 4.3.7.
    """
    started, cycles = state.run(BLEED).started, cycles_by_levels(state)
    if started is None or not cycles:
        return False
    u_m3 = math.hypot(*(timed.cycle.resolution_m3 / math.sqrt(3) for timed in cycles))
    gone = Uncertain(sum(timed.took_m3 for timed in cycles), u_m3)
    if state.volume is None or gone.value <= 0:
        return False
    return took_more_than_lacked(state, started.seq, gone)
