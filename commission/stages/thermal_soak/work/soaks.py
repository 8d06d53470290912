"""The thermal soak in the log: its start, its readings, and what they prove."""

import math
from collections.abc import Sequence

from commission.base.clock import elapsed_between
from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Measured, Phrase
from commission.base.text import clip
from commission.base.verdict import Outcome
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import Procedure, Stage, When
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.build_state import BuildState
from commission.record.done_at import done_mark
from commission.record.logged import Logged
from commission.record.machine.joints import Paper, joints_of
from commission.record.machine.rungs import Rungs
from commission.record.past import RESTARTED, saying_so
from commission.record.record import Record
from commission.record.stage_work import StageWork
from commission.record.staleness import shown_run
from commission.stages.thermal_soak.entries import (
    ComponentLimited,
    HotJointsLooked,
    SoakClosed,
    SoakRead,
    SoakStarted,
)
from commission.stages.thermal_soak.judge.duties_left import left_at
from commission.stages.thermal_soak.judge.part_limits import KINDS, limits_of
from commission.stages.thermal_soak.model import (
    HotWatch,
    Limits,
    SoakPlan,
    SoakReading,
    SoakRule,
    SoakVerdict,
)
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.work.refused import (
    refuse_ahead,
    refuse_duties,
    refuse_limit,
    refuse_plan,
    refuse_readings,
)

JOINTS_HOT = "joints_hot"
"""Id of the step that looks for leaks while hot."""
OF_HEAT = frozenset({"least_above_air_k", "least_carried"})
"""Ids of the limits without which a machine that makes no heat would pass; earlier procedures have none."""


class Soaks(StageWork):
    """The use cases of the thermal soak."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, THERMAL_SOAK)

    def start(self, build_id: str, plan: SoakPlan) -> Logged:
        """Begin a soak: its clock runs from here.

        Raises
        ------
        NotAllowed
            If what it rests on has not passed, cautions are unanswered, or a soak goes on already.
        InputError
            If the plan makes no sense.
        """
        state = self.answered(build_id, When.BEFORE_SOAK)
        if state.run(THERMAL_SOAK).running:
            raise NotAllowed("a soak goes on already; type its readings, or end it")
        refuse_plan(plan)
        return self.book.record(build_id, SoakStarted(attempt=state.run(THERMAL_SOAK).attempt, plan=plan))

    def elapsed_s(self, state: BuildState, *, typed: bool = False) -> float:
        """Return how long the soak goes on by now, or ``typed``: by the time before the line [s]; 0 where none does.

        Raises NotAllowed where that time lies before its start.
        """
        if (started := state.run(THERMAL_SOAK).started) is None:
            return 0.0
        until = self.book.past.moment() if typed else self.book.clock.now()
        at_s = elapsed_between(done_mark(started), until).elapsed_s
        if typed and at_s < 0 and self.book.past.at_ms is not None:
            raise NotAllowed("that time lies before the soak began; correct the time")
        return at_s

    def read(self, build_id: str, readings: Sequence[SoakReading], *, file: str = "", same_as: str = "") -> Logged:
        """Record readings, one that was typed or those of a file.

        ``same_as``: the earlier soak with the very same readings, where that was said to be right.

        Raises
        ------
        NotAllowed
            If no soak was begun, or the machine was changed since, or readings go back in time or lie after now, or
            there would be too many.
        InputError
            If a figure makes no sense, or a duty is of no chain of the build.
        """
        state = self.begun(build_id)
        self.refuse(state, readings)
        attempt = state.run(THERMAL_SOAK).attempt
        read = SoakRead(attempt=attempt, readings=tuple(readings), file=file, same_as=same_as)
        return self.book.record(build_id, read)

    def refuse(self, state: BuildState, readings: Sequence[SoakReading]) -> None:
        """Raise as `read` does where readings are not to be stored in the soak that goes on."""
        shaken = state.run(THERMAL_SOAK).shaken_by
        if shaken is not None:
            raise NotAllowed(f"entry {shaken} changed the machine since this soak began; end it, then begin another")
        refuse_duties(state, readings)
        refuse_readings(state.of(SoakState).readings, readings)
        refuse_ahead(readings, self.elapsed_s(state))

    def refuse_unbegun(self, state: BuildState, readings: Sequence[SoakReading]) -> None:
        """Raise as `read` does where readings are not to be stored in a soak that only begins with them."""
        refuse_duties(state, readings)
        refuse_readings((), readings)
        refuse_ahead(readings, elapsed_between(self.book.past.moment(), self.book.clock.now()).elapsed_s)

    def rule(self, state: BuildState) -> SoakRule:
        """Return when a soak of this build passes."""
        return rule_of(self.stage(state))

    def borrowed(self, state: BuildState) -> Phrase | None:
        """Return that limits of another procedure count, since the build's own has none; None where it has all."""
        if {limit.id for limit in self.stage(state).limits} >= OF_HEAT:
            return None
        from commission.stages.thermal_soak.judge.reasons_told import borrowed

        return borrowed(self.book.procedure(state).revision, shipped_procedure().revision)

    def verdict(self, state: BuildState) -> SoakVerdict:
        """Judge the soak as it stands."""
        return self._judge(state, running=state.run(THERMAL_SOAK).running)

    def close(self, build_id: str) -> SoakVerdict:
        """End the soak and judge it for the record.

        Raises
        ------
        NotAllowed
            If no soak was begun.
        """
        state = self.begun(build_id)
        verdict = replace(self._judge(state, running=False), picture=None)
        attempt = state.run(THERMAL_SOAK).attempt
        self.book.record(build_id, SoakClosed(attempt=attempt, verdict=verdict, program=self.book.program))
        return verdict

    def _judge(self, state: BuildState, *, running: bool) -> SoakVerdict:
        from commission.stages.thermal_soak.judge.coolant_held import other_coolant
        from commission.stages.thermal_soak.judge.failed_before import failed_parts, read_again
        from commission.stages.thermal_soak.judge.levels_read import cold_level_of
        from commission.stages.thermal_soak.judge.read_before import read_before
        from commission.stages.thermal_soak.judge.told import telling
        from commission.stages.thermal_soak.judge.verdict import evaluate_thermal_soak, without_worth

        kept = state.of(SoakState)
        shown = shown_run(state, THERMAL_SOAK)
        ended = math.inf if shown.closed is None else shown.closed.seq
        rule, limits = self.rule(state), self._limits(state, before=ended)
        verdict = evaluate_thermal_soak(
            kept.readings,
            kept.plan,
            rule,
            running=running,
            watch=HotWatch(done=JOINTS_HOT in shown.steps, joints=self.joints(state), looks=kept.looks),
            limits=limits,
            level=cold_level_of(state, shown),
            left=left_at(state),
        )
        verdict = telling(verdict, kept.lost, limits, rule, failed_load_w(state, before=shown.attempt))
        verdict = read_before(read_again(verdict, failed_parts(state, before=shown.attempt)), state)
        if shown.shaken_by is not None:
            verdict = without_worth(verdict, shown.shaken_by)
        known = (self.borrowed(state), other_coolant(kept.plan, state), RESTARTED if kept.restarted else None)
        more = tuple(filter(None, known))
        told = (*verdict.reasons[:1], *more, *verdict.reasons[1:])
        reasons = self.book.past.saying_so(told, state, shown)
        return replace(verdict, reasons=saying_so(reasons) if kept.arrived_late else reasons)

    def _limits(self, state: BuildState, before: float = math.inf) -> Limits:
        """Return the limits of components that were typed before an entry, and those of the procedure."""
        usual = {limit.id: limit.value for limit in self.stage(state).limits if limit.id in KINDS}
        return Limits(own=state.of(SoakState).limits(before=before), usual=usual)

    def joints(self, state: BuildState) -> tuple[str, ...]:
        """Return every joint that can be wet: as the last leak watch named them, else by the parts."""
        return state.of(Rungs).joints or joints_of(state.parts)

    def look(self, build_id: str, joints: Sequence[str], paper: Paper, note: str = "") -> Logged:
        """Record what dry paper showed at joints, now.

        Raises
        ------
        NotAllowed
            If no soak was begun, or nothing was read yet: a cold joint proves nothing.
        InputError
            If there is no such joint.
        """
        state = self.begun(build_id)
        self.refuse_look(state, paper)
        known = self.joints(state)
        for joint in joints:
            if joint not in known:
                raise InputError(f'there is no joint "{joint}"; there are: {", ".join(known)}')
        attempt = state.run(THERMAL_SOAK).attempt
        return self.book.record(
            build_id, HotJointsLooked(attempt=attempt, joints=tuple(joints), paper=paper, note=note)
        )

    def refuse_look(self, state: BuildState, paper: Paper) -> None:
        """Raise NotAllowed where a dry joint proves nothing, since nothing says that it is hot."""
        if paper is not Paper.DRY:
            return
        readings = state.of(SoakState).readings
        if not readings:
            raise NotAllowed("nothing was read in this soak yet, so nothing says that it is hot; type a reading first")
        warmest = max(max(filter(None, (one.warm_k, one.cool_k))) - one.air_k for one in readings)
        if warmest < self.rule(state).least_above_air_k:
            raise NotAllowed(
                "by the readings the coolant is hardly above air: a cold joint proves nothing; look once hot"
            )

    def do_step(self, build_id: str, step_id: str, note: str = "") -> Logged:
        """Record that a step was done; the look at the joints only once the readings say that they are hot.

        Raises
        ------
        NotAllowed
            If it is not the next one, its note says that something is wet, or nothing says that it is hot.
        """
        if step_id == JOINTS_HOT:
            self.refuse_look(self.known(build_id), Paper.DRY)
        return super().do_step(build_id, step_id, note)

    def limit(self, build_id: str, name: str, most: Measured, source: str) -> Logged:
        """Record how warm a component may get by its maker's word.

        Raises
        ------
        NotAllowed
            If the soak goes on, and the limit is above the one that its readings are judged by; or if it passed, and
            the component was warmer than that in it.
        InputError
            If it makes no sense.
        """
        state = self.reachable(build_id)
        refuse_limit(name, most.si, source)
        kept = state.of(SoakState)
        if state.run(THERMAL_SOAK).running and kept.readings:
            (now,) = limits_of((name,), self._limits(state), self.rule(state))
            if most.si > now.most_k:
                raise NotAllowed("once a soak is read, a limit may only be lowered; a higher one is for the next")
        if self._passed_above(state, name, most.si):
            raise NotAllowed(
                f"in the soak that passed {clip(name)} was warmer than that: begin another soak, then type the limit"
            )
        return self.book.record(build_id, ComponentLimited(name=name, most=most, source=source))

    def _passed_above(self, state: BuildState, name: str, most_k: float) -> bool:
        """Return whether the last soak passed though a component was, or settles, warmer than that in it."""
        run = state.judged_run(THERMAL_SOAK)
        closed = None if run is None or state.run(THERMAL_SOAK).running else run.closed
        if closed is None or not isinstance(closed.payload, SoakClosed):
            return False
        verdict, of_it = closed.payload.verdict, name.casefold()
        read = (
            part.value
            for reading in state.of(SoakState).readings
            for part in reading.components
            if part.name.casefold() == of_it
        )
        settles = (part.end.upper95 for part in verdict.components if part.name.casefold() == of_it)
        return verdict.outcome is Outcome.PASS and max((*read, *settles), default=-math.inf) > most_k

    def begun(self, build_id: str) -> BuildState:
        """Return the build, whose soak goes on.

        Raises
        ------
        NotAllowed
            If the stage is locked, or no soak was begun.
        """
        state = self.unlocked(build_id)
        if not state.run(THERMAL_SOAK).running:
            raise NotAllowed("no soak was begun; begin it first")
        return state


def rule_of(stage: Stage) -> SoakRule:
    """Return the rule that a stage of the procedure holds; a limit for heat that it has not is this program's own."""
    known, shipped = {limit.id for limit in stage.limits}, shipped_procedure().stage(THERMAL_SOAK)
    return SoakRule(
        **{
            name: (shipped if name in OF_HEAT and name not in known else stage).limit(name)
            for name in SoakRule.__struct_fields__
        }
    )


def shipped_procedure() -> Procedure:
    """Return the procedure that this program ships."""
    return load_procedure(default_toml())


def failed_load_w(state: BuildState, before: int) -> float | None:
    """Return the load of the soak that failed last, where no soak passed between it and an attempt [W]."""
    found = None
    for run in state.runs.get(THERMAL_SOAK, ()):
        closed = None if run.closed is None or run.attempt >= before else run.closed.payload
        if isinstance(closed, SoakClosed) and closed.verdict.outcome in (Outcome.FAIL, Outcome.PASS):
            found = closed.verdict.load_w if closed.verdict.outcome is Outcome.FAIL else None
    return found
