"""Handovers and service visits in the log, and every refusal."""

from collections.abc import Sequence

from commission.base.errors import InputError, NotAllowed, refuse_longer
from commission.base.frozen import replace
from commission.base.text import clip
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.procedure.stage_ids import HANDOVER
from commission.record.build_state import BuildState
from commission.record.done_at import done_ms, wall_mark
from commission.record.logged import Logged
from commission.record.part_changed import PartChanged, PartOf
from commission.record.record import Record
from commission.record.stage_work import StageWork, refuse_unanswered
from commission.stages.fill.model.coolant import refuse_life
from commission.stages.fill.model.fill import Drain, Pour
from commission.stages.fill.state import FillState
from commission.stages.fill.work.fills import Fills
from commission.stages.handover.entries import (
    CoolantLifeRead,
    HandedOver,
    ServiceDone,
    SparesNamed,
    ToppedUp,
    VisitBegun,
)
from commission.stages.handover.judge.ready import evaluate_handover
from commission.stages.handover.model import (
    LONGEST_TEXT,
    MOST_SPARES,
    HandoverFacts,
    HandoverVerdict,
    Interval,
    ServiceItem,
)
from commission.stages.handover.state import HandoverState, visiting
from commission.stages.handover.work.looks import refuse_look
from commission.stages.handover.work.others import refuse_other
from commission.stages.handover.work.standing import facts_of, life_of
from commission.stages.handover.work.years import clock_behind_s, looked, overdue_of, usual_m3
from commission.units.show import say


class Handovers(StageWork):
    """The use cases of handover and visits."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, HANDOVER)

    def reachable(self, build_id: str) -> BuildState:
        """Return the state of a build where cautions may be answered: on a visit also while proofs are missing.

        Raises
        ------
        NotAllowed
            If the stage is locked and no visit goes on.
        """
        state = self.known(build_id)
        return state if visiting(state) is not None else self.unlocked(build_id)

    def verdict(self, state: BuildState, observed_ms: int | None = None) -> HandoverVerdict:
        """Judge whether the machine may be handed over as it stands, now or on an earlier day [ms since 1970 UTC]."""
        return evaluate_handover(self.facts(state, observed_ms))

    def facts(self, state: BuildState, observed_ms: int | None = None) -> HandoverFacts:
        """Return what is known before the machine is handed over, now or on an earlier day [ms since 1970 UTC]."""
        now, moment = self.book.clock.now(), self.book.past.moment()
        if observed_ms is not None:
            moment = wall_mark(observed_ms, moment.offset_min)
        return replace(
            facts_of(self.book.procedure(state), state),
            overdue=overdue_of(self.book, state, self.plan(state), moment),
            clock_behind_s=clock_behind_s(self.book, state, now),
        )

    def plan(self, state: BuildState) -> tuple[Interval, ...]:
        """Return what is due after a handover now, and how often: by the procedure, and by the bottle."""
        stage, kept = self.stage(state), state.of(HandoverState)
        life = self.life(state)
        first = not looked(kept)
        return (
            Interval(
                item=ServiceItem.LOOK,
                every_s=stage.limit("first_look_s" if first else "look_s"),
                why="the first one sooner" if first else "",
            ),
            Interval(item=ServiceItem.CLEANING, every_s=stage.limit("cleaning_s")),
            Interval(
                item=ServiceItem.COOLANT,
                every_s=stage.limit("coolant_s") if life is None else life,
                why="the bottle states none" if life is None else "by the bottle",
            ),
            Interval(item=ServiceItem.SOAK, every_s=stage.limit("soak_s")),
        )

    def life(self, state: BuildState) -> float | None:
        """Return how long the coolant may stay in, by its bottle [s]; None where nobody said."""
        return life_of(self.stage(state), state)

    # --- the handover ----------------------------------------------------------------------------------------

    def name_spares(self, build_id: str, spares: Sequence[str], bottle: str) -> Logged:
        """Record which spare parts and which bottle go along; none is an answer.

        Raises
        ------
        NotAllowed
            If the stage is locked.
        InputError
            If there are too many, a name is too long, or nothing was poured from that bottle into this loop.
        """
        state = self.reachable(build_id)
        named = SparesNamed(spares=tuple(spares), bottle=bottle)
        refuse_spares(named)
        bottle_of(state, bottle)
        return self.book.record(build_id, named)

    def read_life(self, build_id: str, life_s: float | None, typed: str = "") -> Logged:
        """Record how long the coolant may stay in by its bottle [s]; None where the bottle states none.

        Raises
        ------
        NotAllowed
            If the stage is locked.
        InputError
            If no coolant lasts like that.
        """
        self.reachable(build_id)
        refuse_life(life_s)
        return self.book.record(build_id, CoolantLifeRead(life_s=life_s, typed=typed))

    def hand_over(self, build_id: str, to: str = "", *, observed_ms: int | None = None) -> Logged:
        """Record that the machine was handed over, or handed back after a visit.

        Parameters
        ----------
        to
            To whom; empty: to whoever had it before.
        observed_ms
            When that was, if it is told later [ms since 1970 UTC].

        Raises
        ------
        NotAllowed
            If something holds it up, and all of it is told; the owner's cautions were not told; or it is where it is.
        """
        self.reachable(build_id)
        state = self.unlocked(build_id)
        last = state.of(HandoverState).last
        to = " ".join(to.split()) or (last.to if last is not None else "")
        self._refuse_name(state, to)
        if visiting(state) is None or last is None or to != last.to:
            refuse_unanswered(self.missing_cautions(state, When.FOR_THE_OWNER))
        self._refuse_before_it_passed(state, self.book.past.at_ms if observed_ms is None else observed_ms)
        verdict = self.verdict(state, observed_ms)
        if verdict.outcome is not Outcome.PASS:
            raise NotAllowed(" ".join(map(say, verdict.reasons)).rstrip("."))
        verdict = replace(verdict, reasons=self.book.past.saying_so(verdict.reasons, state, state.run(HANDOVER)))
        attempt = state.run(HANDOVER).attempt
        handed = HandedOver(attempt=attempt, to=to, plan=self.plan(state), verdict=verdict, program=self.book.program)
        return self.book.record(build_id, handed, observed_ms=observed_ms)

    def _refuse_before_it_passed(self, state: BuildState, observed_ms: int | None) -> None:
        judged = (state.judged_run(stage) for stage in self.stage(state).rests_on)
        passed = max((done_ms(run.closed) for run in judged if run is not None and run.closed is not None), default=0)
        if observed_ms is not None and observed_ms < passed:
            raise NotAllowed("the last stage passed after that day; type the day on which it was handed over")

    def _refuse_name(self, state: BuildState, to: str) -> None:
        if not to or len(to) > LONGEST_TEXT:
            raise NotAllowed('type to whom it is handed over: a name, or "own use"')
        judged, last = state.judged_run(HANDOVER), state.of(HandoverState).last
        same = last is not None and to == last.to and judged is not None and judged.stale_by is None
        if same and visiting(state) is None:
            raise NotAllowed(f"it was handed over to {to} already; begin a visit, or type another name")

    # --- visits ----------------------------------------------------------------------------------------------

    def begin_visit(self, build_id: str, why: str) -> Logged:
        """Record that the machine is on the bench again.

        Raises
        ------
        NotAllowed
            If it was never handed over, a visit goes on, or no reason is given.
        """
        state = self.known(build_id)
        refuse_visit(state)
        why = _worded(why, "why the visit")
        return self.book.record(build_id, VisitBegun(attempt=state.run(HANDOVER).attempt, why=why))

    def top_up(self, build_id: str, pour: Pour) -> Logged:
        """Record that coolant was topped up to the mark.

        Raises
        ------
        NotAllowed
            If no visit goes on, cautions are unanswered, or no coolant may be added now.
        InputError
            If the bottle cannot have held that much.
        """
        state = self._on_visit(build_id)
        self.book.work(Fills).check(build_id, pour)
        return self.book.record(
            build_id,
            ToppedUp(attempt=state.run(HANDOVER).attempt, pour=pour, usual_m3=self.usual_m3(state)),
        )

    def usual_m3(self, state: BuildState) -> float:
        """Return what is usual to top up now [m3]."""
        return usual_m3(self.stage(state), self.book.entries(state.build_id), state, self.book.past.moment().wall_ms)

    def drain(self, build_id: str, drain: Drain) -> Logged:
        """Record that coolant was let out; the fill is then done again.

        Raises
        ------
        NotAllowed
            If no visit goes on, cautions are unanswered, or that much is not in.
        """
        self._on_visit(build_id)
        return self.book.work(Fills).move(build_id, drain, stage=HANDOVER)

    def done(self, build_id: str, item: ServiceItem, note: str = "") -> Logged:
        """Record that something of the service plan was done.

        Raises
        ------
        NotAllowed
            If no visit goes on, cautions are unanswered, or by a look not all is dry.
        InputError
            If a look does not say how far the level is down.
        """
        state = self._on_visit(build_id)
        if item is ServiceItem.LOOK:
            refuse_look(state, note)
        refuse_longer(note, LONGEST_TEXT)
        return self.book.record(build_id, ServiceDone(attempt=state.run(HANDOVER).attempt, item=item, note=note))

    def change_part(self, build_id: str, of: PartOf, name: str, why: str, *, target_id: str = "") -> Logged:
        """Record that a part was changed for another of its kind; what it takes away is stale from then on.

        Raises
        ------
        NotAllowed
            If no visit goes on, cautions are unanswered, no reason is given, or what proofs rest on or is wet is called
            other.
        """
        state = self._on_visit(build_id)
        if of is PartOf.OTHER:
            refuse_other(state, name, why)
        changed = PartChanged(
            stage=HANDOVER,
            of=of,
            name=_worded(name, "which part"),
            target_id=target_id,
            why=_worded(why, "why it was changed"),
        )
        return self.book.record(build_id, changed)

    def _on_visit(self, build_id: str) -> BuildState:
        state = self.known(build_id)
        if visiting(state) is None:
            raise NotAllowed("no visit goes on; begin one first, with why")
        refuse_unanswered(self.missing_cautions(state, When.BEFORE_SERVICE))
        return state


def refuse_spares(named: SparesNamed) -> None:
    """Raise InputError where no list of spare parts is like that."""
    if len(named.spares) > MOST_SPARES:
        raise InputError(f"{MOST_SPARES} spare parts are the most; name them in groups")
    for name in (*named.spares, named.bottle):
        refuse_longer(name, LONGEST_TEXT, "a name has")


def bottles_in(state: BuildState) -> tuple[str, ...]:
    """Return the names of the bottles that the loop was filled from, by the record."""
    moves = state.of(FillState).movements
    return tuple(dict.fromkeys(moved.bottle.name for moved in moves if isinstance(moved, Pour)))


def bottle_of(state: BuildState, name: str) -> str:
    """Return the name, as recorded, of the bottle that goes along for topping up; empty where none does.

    Raises
    ------
    InputError
        If the loop was not filled from it: the owner would mix two coolants.
    """
    known = bottles_in(state)
    found = next((one for one in known if one.casefold() == name.casefold()), None)
    if found is not None or not name:
        return found or ""
    inside = f"it was filled from: {', '.join(known)}" if known else "the record names no bottle"
    raise InputError(f"{clip(name)} was never poured into this loop; {inside}; bottle none leaves it out")


def refuse_visit(state: BuildState) -> None:
    """Raise NotAllowed where no visit can begin."""
    if not state.of(HandoverState).handed:
        raise NotAllowed("it was never handed over; a visit comes after that")
    if visiting(state) is not None:
        raise NotAllowed("a visit goes on already; type what was done, or end it")


def _worded(text: str, what: str) -> str:
    said = " ".join(text.split())
    if not said:
        raise NotAllowed(f"it does not say {what}; type that, too")
    refuse_longer(said, LONGEST_TEXT)
    return said
