"""The thermal soak in the log: its start, its readings, and what they prove."""

from collections.abc import Sequence

from commission.base.clock import elapsed_between
from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.procedure.model import Stage, When
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.build_state import BuildState
from commission.record.logged import Logged
from commission.record.record import Record
from commission.record.stage_work import StageWork
from commission.stages.thermal_soak.entries import SoakClosed, SoakRead, SoakStarted
from commission.stages.thermal_soak.model import MOST_READINGS, SoakPlan, SoakReading, SoakRule, SoakVerdict
from commission.stages.thermal_soak.state import SoakState
from commission.units.worded import worded

JOINTS_HOT = "joints_hot"
"""Id of the step that looks for leaks while hot."""
COLDEST_K = 253.15
"""Colder readings are slips [K]; our choice: no machine is put into service below -20 degC."""
HOTTEST_K = 423.15
"""Hotter ones are, too [K]; our choice: chips switch off well below 150 degC."""

AHEAD_S = 60.0
"""Most that a reading may lie after now [s]; our choice: the logger was started by hand before the soak was."""


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

    def elapsed_s(self, state: BuildState) -> float:
        """Return how long the soak goes on by now [s]; 0 where none does."""
        started = state.run(THERMAL_SOAK).started
        return 0.0 if started is None else elapsed_between(started.mark, self.book.clock.now()).elapsed_s

    def read(self, build_id: str, readings: Sequence[SoakReading], *, file: str = "") -> Logged:
        """Record readings, one that was typed or those of a file.

        Raises
        ------
        NotAllowed
            If no soak was begun, or readings go back in time or lie after now, or there would be too many.
        InputError
            If a figure makes no sense.
        """
        state = self.begun(build_id)
        self.refuse(state, readings)
        attempt = state.run(THERMAL_SOAK).attempt
        return self.book.record(build_id, SoakRead(attempt=attempt, readings=tuple(readings), file=file))

    def refuse(self, state: BuildState, readings: Sequence[SoakReading]) -> None:
        """Raise as `read` does where readings are not to be stored in the soak that goes on."""
        refuse_readings(state.of(SoakState).readings, readings)
        refuse_ahead(readings, self.elapsed_s(state))

    def rule(self, state: BuildState) -> SoakRule:
        """Return when a soak of this build passes."""
        return rule_of(self.stage(state))

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
        from commission.stages.thermal_soak.judge.levels_read import cold_level_of
        from commission.stages.thermal_soak.judge.verdict import evaluate_thermal_soak

        kept = state.of(SoakState)
        run = state.run(THERMAL_SOAK)
        shown = run if run.started is not None else state.judged_run(THERMAL_SOAK) or run
        watched = JOINTS_HOT in shown.steps
        return evaluate_thermal_soak(
            kept.readings,
            kept.plan,
            self.rule(state),
            running=running,
            watched=watched,
            level=cold_level_of(state, shown),
        )

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
    """Return the rule that a stage of the procedure holds."""
    return SoakRule(**{name: stage.limit(name) for name in SoakRule.__struct_fields__})


def refuse_plan(plan: SoakPlan) -> None:
    """Raise InputError where no coolant or display is like that."""
    if not 0 <= plan.mass_fraction <= 0.6 or (plan.base is None and plan.mass_fraction):
        raise InputError("the glycol in the coolant is 0 to 60 % by mass, and 0 in water; correct the share")
    if not 0 < plan.resolution_k <= 2:
        raise InputError(worded("the step of a display is above 0 and at most 2 K; correct it"))


def refuse_readings(before: Sequence[SoakReading], fresh: Sequence[SoakReading]) -> None:
    """Raise where readings make no sense behind those that are there."""
    if not fresh:
        raise InputError("there is no reading; type coolant and air at least")
    if len(before) + len(fresh) > MOST_READINGS:
        raise NotAllowed(f"a soak keeps {MOST_READINGS} at most; read less often, such as once in ten seconds")
    last = before[-1].elapsed_s if before else -1.0
    for reading in fresh:
        if reading.elapsed_s <= last:
            raise NotAllowed(
                f"a reading at {reading.elapsed_s:g} s stands behind one at {last:g} s; readings go forward in time"
            )
        last = reading.elapsed_s
        _refuse_reading(reading)


def refuse_ahead(fresh: Sequence[SoakReading], elapsed_s: float) -> None:
    """Raise NotAllowed where readings lie after now: they are of a soak that this one is not.

    Parameters
    ----------
    fresh
        The readings, typed or of a table.
    elapsed_s
        How long the soak goes on by now [s].
    """
    last_s = max((one.elapsed_s for one in fresh), default=0.0)
    if last_s > elapsed_s + AHEAD_S:
        raise NotAllowed(
            f"a reading at {last_s:g} s lies after now: this soak began {max(0.0, elapsed_s):.0f} s ago. Record it "
            "once that time has passed. A soak of another time: judge its table alone, with: commission judge soak"
        )


def _refuse_reading(reading: SoakReading) -> None:
    if reading.warm_k is None and reading.cool_k is None:
        raise InputError("type a temperature of the coolant: warm, on its way to the radiators, or cool, from them")
    kelvins = [one for one in (reading.air_k, reading.warm_k, reading.cool_k) if one is not None]
    if not all(COLDEST_K <= one <= HOTTEST_K for one in [*kelvins, *(part.value for part in reading.components)]):
        raise InputError(worded("a temperature is outside -20 to 150 degC; check its number and unit"))
    if reading.flow_m3_s is not None and reading.flow_m3_s < 0:
        raise InputError("a flow is 0 or more; correct it")
    if reading.load_w is not None and reading.load_w < 0:
        raise InputError("a load is 0 or more; correct it")
    if not all(0 <= one.value <= 1 for one in reading.duties):
        raise InputError("a duty is 0 to 100 %; correct it")
    for names in ([one.name for one in reading.components], [one.name for one in reading.duties]):
        if len(set(names)) != len(names):
            raise InputError("one name stands twice in a reading; keep one")
