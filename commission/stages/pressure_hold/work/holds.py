"""The pressure hold in the log: cautions, plan, start, readings, verdict, findings and the way back to a retest."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.procedure.model import When
from commission.record.entries import FindingRaised
from commission.record.machine.ratings import refuse_above_rating, refuse_unrated
from commission.record.stage_work import StageWork, refuse_unanswered
from commission.stages.pressure_hold.entries import (
    Ending,
    HoldClosed,
    HoldExtended,
    HoldPlan,
    HoldPlanned,
    HoldStarted,
    PressureLetDown,
    ReadingTaken,
    RowNoted,
    SourceIsolated,
    SourceOff,
)
from commission.stages.pressure_hold.state.attempt import hold_of, judged_hold, search_under_pressure
from commission.stages.pressure_hold.state.found import fault_is_to_be_found, not_repaired
from commission.stages.pressure_hold.state.rows_gone import counting_rows
from commission.stages.pressure_hold.work.ends import ended_hold, ending_now
from commission.stages.pressure_hold.work.judged import judge, refuse_same_moment
from commission.stages.pressure_hold.work.let_down import refuse_not_zero
from commission.stages.pressure_hold.work.plan_rules import refuse_outdated, refuse_plan
from commission.stages.pressure_hold.work.plans import blind_before, capability, deciding_plan
from commission.stages.pressure_hold.work.rig import refuse_source
from commission.stages.pressure_hold.work.times import HoldTimes

if TYPE_CHECKING:
    from commission.base.quantity import Measured
    from commission.record.fold import BuildState
    from commission.record.logged import Logged, Sample
    from commission.record.machine.instrument import Instrument
    from commission.record.record import Record
    from commission.stages.pressure_hold.model import Capability, HoldVerdict

STAGE = "pressure_hold"
"""Id of the stage in the procedure and in the log."""

PLACES = ("fitting", "seal", "part", "rig", "unknown")
"""Where a finding can be: the rig is the pump, hose and coupling of the test itself."""


OF_A_HOLD = (When.BEFORE_PRESSURE, When.CONNECTING, When.PUMPING_UP, When.UNDER_PRESSURE)
"""The moments of a hold whose cautions are printed where nobody can be asked: all of them before it."""


class Holds(StageWork):
    """The use cases of the pressure hold."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, STAGE)
        self.times = HoldTimes(book)
        """When a hold began, and what can be read by now."""

    # --- before the start ------------------------------------------------------------------------------------

    def acknowledge(self, build_id: str, caution_id: str, text: str) -> Logged:
        """Record that a caution was read and answered, as it stood on the screen.

        Raises
        ------
        NotAllowed
            If it tells the rating of the weakest part while a part has none.
        """
        state = self.unlocked(build_id)
        if any(caution.id == caution_id and "{rating}" in caution.text for caution in self.stage(state).cautions):
            refuse_unrated(state.tested_parts)
        return super().acknowledge(build_id, caution_id, text)

    def print_cautions(self, build_id: str, *whens: When) -> Logged:
        """Record that cautions were printed where nobody can be asked; those of a whole hold if no moment is given.

        Raises
        ------
        NotAllowed
            If a part has no rating, so that they could not tell it.
        """
        refuse_unrated(self.unlocked(build_id).tested_parts)
        return super().print_cautions(build_id, *(whens or OF_A_HOLD))

    def do_step(self, build_id: str, step_id: str, note: str = "") -> Logged:
        """Record that a step was done.

        Raises
        ------
        NotAllowed
            If cautions are unanswered, the plan is missing, or the step is not the next one.
        """
        self._refuse_unready(self.unlocked(build_id))
        return super().do_step(build_id, step_id, note)

    def plan(self, build_id: str, plan: HoldPlan) -> Logged:
        """Record how the hold is to be run and judged; may be repeated until the start.

        Raises
        ------
        NotAllowed
            If the plan contradicts itself or the loop.
        """
        state = self.unlocked(build_id)
        refuse_plan(state, self.stage(state), plan)
        return self.book.record(build_id, HoldPlanned(attempt=hold_of(state).attempt, plan=plan))

    def isolate(self, build_id: str, how: SourceOff) -> Logged:
        """Record how the source is kept from feeding the loop; the last answer before the start counts.

        Raises
        ------
        NotAllowed
            If a hold runs already, a finding must be cured first, or it does not go with the rig.
        """
        hold = hold_of(self.unlocked(build_id))
        refuse_source(hold, how)
        return self.book.record(build_id, SourceIsolated(attempt=hold.attempt, how=how))

    def start(
        self,
        build_id: str,
        *,
        gauge: Measured | None = None,
        barometer: Measured | None = None,
        began_ms: int | None = None,
    ) -> Logged:
        """Start the clock: the source is off and the loop is on its own.

        Parameters
        ----------
        build_id
            The build.
        gauge, barometer
            The first reading, where one is there already.
        began_ms
            When the hold began, where its readings are taken over from a file [ms since 1970 UTC]; None: now.

        Raises
        ------
        NotAllowed
            If anything that must come before is missing, or the gauge stands above a rating; the message says what.
        """
        state = self.unlocked(build_id)
        if began_ms is not None:
            self.times.refuse_began(state, began_ms)
        elif self.book.past.at_ms is not None:
            raise NotAllowed(
                "a hold that is typed begins now, as its clock does. One of before is taken over from its file: "
                "commission feed --new --began"
            )
        self._refuse_unready(state)
        missing, hold = self.missing_steps(state), hold_of(state)
        if missing and not hold.printed:
            raise NotAllowed(f"not done yet: {', '.join(missing)}")
        if hold.source is None:
            choice = ", ".join(f'"{how}"' for how in SourceOff)
            raise NotAllowed(f"not answered yet: how is the source off? One of {choice}")
        assert hold.plan is not None  # _refuse_unready saw to it
        if gauge is not None:
            absolute = gauge.quantity is Quantity.ABSOLUTE_PRESSURE
            room = (barometer.si if barometer else STANDARD_ATMOSPHERE_PA) if absolute else 0.0
            refuse_above_rating(state.tested_parts, gauge.si - room, "the gauge at")
        return self.book.record(
            build_id,
            HoldStarted(
                attempt=hold.attempt,
                plan=hold.plan,
                series=self.book.new_id(),
                left_out=tuple(part.name for part in state.parts if part.part_id in state.left_out),
                began_ms=began_ms,
            ),
        )

    def capability(self, state: BuildState, plan: HoldPlan) -> Capability:
        """Return what a plan can decide, before it is started."""
        return capability(self.book.procedure(state), plan)

    def deciding(self, state: BuildState, plan: HoldPlan) -> HoldPlan:
        """Return the plan with the time that will decide for its gauge, volume and limit; as it is where none would."""
        return deciding_plan(self.book.procedure(state), plan)

    def blind_s(self, state: BuildState, plan: HoldPlan) -> float | None:
        """Return how long before the end of a planned hold a leak may start unseen [s]; None: nothing guards there."""
        return blind_before(self.book.procedure(state), plan)

    # --- while it runs ---------------------------------------------------------------------------------------

    def read(
        self,
        build_id: str,
        *,
        pressure: Measured | None,
        air: Measured | None = None,
        barometer: Measured | None = None,
        note: str = "",
        observed_ms: int | None = None,
    ) -> Logged:
        """Record one typed line of readings.

        Raises
        ------
        NotAllowed
            If no hold runs, nothing was read, it cannot be placed in the hold, or that moment has a reading already.
        """
        state = self._running(build_id)
        if pressure is None and air is None and barometer is None and not note:
            raise NotAllowed("nothing was read; type at least the gauge")
        self.times.refuse_typed(hold_of(state), observed_ms)
        if pressure is not None:
            refuse_same_moment(self.book, hold_of(state), observed_ms)
        taken = ReadingTaken(attempt=hold_of(state).attempt, pressure=pressure, air=air, barometer=barometer, note=note)
        return self.book.record(build_id, taken, observed_ms=observed_ms)

    def stream(self, build_id: str, samples: list[Sample], *, header: str = "") -> int:
        """Store streamed samples of the running hold and return how many its series now holds.

        ``header`` is the header row under which they came. Each time a seal is due, it goes in with them.

        Raises
        ------
        NotAllowed or InputError
            If no hold runs, or a sample lies after now; then none of them was stored.
        Damaged
            If what is stored without a seal was changed behind the program's back.
        """
        hold = hold_of(self._running(build_id))
        self.times.refuse_future(build_id, hold, samples)
        return self.book.record_samples(hold.series, samples, header)

    def note_row(self, build_id: str, elapsed_s: float, note: str, *, above: bool = False) -> Logged:
        """Record what a row of a fed table says beside its reading, and where in the hold that is [s].

        ``above``: it stood above the first row.
        """
        attempt = hold_of(self._running(build_id)).attempt
        return self.book.record(build_id, RowNoted(attempt=attempt, elapsed_s=elapsed_s, note=note, above=above))

    def tell_unread(self, build_id: str, rows: int) -> None:
        """Record that rows of a fed table could not be read behind the last one; nothing where no hold runs."""
        hold = hold_of(self.book.build(build_id))
        last = self.book.log.last_sample(hold.series) if hold.running else None
        if last is not None:
            unread = RowNoted(attempt=hold.attempt, elapsed_s=last.elapsed_s, unread=rows)
            self.book.record(build_id, unread)

    def seal_stream(self, build_id: str) -> None:
        """Seal the last samples of the running hold, when no more come for now; nothing happens where none runs."""
        hold = hold_of(self.book.build(build_id))
        if hold.running and self.book.log.last_sample(hold.series) is not None:
            self.book.record_samples(hold.series, [], seal=True)

    def extend(self, build_id: str, hold_s: float) -> Logged:
        """Let a hold that has not decided go on.

        Raises
        ------
        NotAllowed
            If no hold runs or the new length is not longer.
        """
        state = self._running(build_id)
        plan = hold_of(state).plan
        if plan is None or hold_s <= plan.hold_s:
            raise NotAllowed("an extended hold must be longer than it was planned")
        return self.book.record(build_id, HoldExtended(attempt=hold_of(state).attempt, hold_s=hold_s))

    def verdict(self, state: BuildState) -> HoldVerdict | None:
        """Judge the running hold as it stands, or the last one again; None where there is nothing to judge."""
        hold = hold_of(state) if hold_of(state).running else judged_hold(state)
        if hold is None or hold.started is None:
            return None
        return judge(self.book, state, hold, self.elapsed_s(state))

    def elapsed_s(self, state: BuildState) -> float:
        """Return how long the running hold has been going [s]; 0 where none runs."""
        return self.times.elapsed_s(hold_of(state))

    # --- the end and after -----------------------------------------------------------------------------------

    def close(self, build_id: str, ending: Ending | None = None) -> HoldVerdict:
        """End the running hold and judge it for the record; how it ends follows from its time where it is not given.

        Raises
        ------
        NotAllowed
            If no hold runs, or it is said to end before its last reading, or earlier than now though it ran live.
        """
        state = self._running(build_id)
        hold, elapsed_s = hold_of(state), self.elapsed_s(state)
        self.times.refuse_end(hold)
        fed_s = counting_rows(self.book.log.samples(hold.series), hold).elapsed_s
        ending = ending or ending_now(hold, fed_s, elapsed_s, self.verdict(state))
        verdict = judge(self.book, state, hold, elapsed_s, ending=ending)
        verdict = replace(verdict, picture=None)
        seal = self.book.log.seal(hold.series)
        self.book.record(
            build_id,
            HoldClosed(
                attempt=hold.attempt,
                ending=ending,
                verdict=verdict,
                program=self.book.program,
                samples=seal.count,
                digest=seal.digest,
            ),
        )
        return verdict

    def let_down(self, build_id: str, gauge: Measured, *, valve_open: bool = False) -> Logged:
        """Record that the pressure was let down after the last hold.

        Parameters
        ----------
        build_id
            The build.
        valve_open
            Whether the loop stands open to the room, so that a gauge that is off its zero shows its own error.

        Raises
        ------
        NotAllowed
            If no hold was judged yet, or the gauge does not stand at zero.
        """
        judged, plan = ended_hold(self.book.build(build_id))
        refuse_not_zero(plan.gauge, gauge, valve_open=valve_open)
        return self.book.record(build_id, PressureLetDown(attempt=judged.attempt, gauge=gauge, valve_open=valve_open))

    def last_gauge(self, state: BuildState) -> Instrument:
        """Return the gauge of the hold that was ended last; raises NotAllowed where none was."""
        return ended_hold(state)[1].gauge

    def raise_finding(self, build_id: str, *, where: str, part_id: str | None, note: str) -> Logged:
        """Record a fault that was found.

        Raises
        ------
        NotAllowed
            If the place is not one of those known, or nothing is said of it.
        """
        state = self.book.build(build_id)
        if where not in PLACES:
            raise NotAllowed(f'"{where}" is no place; say one of {", ".join(PLACES)}')
        if not note.strip():
            raise NotAllowed("say what was found")
        attempt = (judged_hold(state) or hold_of(state)).attempt
        return self.book.record(
            build_id,
            FindingRaised(
                finding_id=self.book.new_id(),
                stage=STAGE,
                attempt=attempt,
                where=where,
                part_id=part_id,
                note=note.strip(),
            ),
        )

    # --- refusals --------------------------------------------------------------------------------------------

    def unlocked(self, build_id: str) -> BuildState:
        """Return the state of a build whose next hold may be prepared.

        Raises
        ------
        NotAllowed
            If a hold runs, or a fault was not recorded or not cured yet; the message says what.
        """
        state = super().unlocked(build_id)
        if hold_of(state).running:
            raise NotAllowed("a hold is running; end it first")
        if search_under_pressure(state):
            raise NotAllowed("the loop is under pressure from the leak search; vent it and type what the gauge shows")
        if fault_is_to_be_found(state):
            raise NotAllowed("the last hold showed a leak; record what was found and what was done before the retest")
        if not_repaired(state):
            raise NotAllowed("a defect is not repaired yet; type repaired on any line and say what was done")
        return state

    def _running(self, build_id: str) -> BuildState:
        state = self.book.build(build_id)
        if not hold_of(state).running:
            raise NotAllowed("no hold is running; start one first")
        return state

    def _refuse_unready(self, state: BuildState) -> None:
        refuse_unanswered(self.missing_cautions(state, When.BEFORE_PRESSURE))
        hold = hold_of(state)
        if hold.plan is None:
            raise NotAllowed("the hold has no plan yet; choose gauge, volume, limit, pressure and time first")
        refuse_plan(state, self.stage(state), hold.plan, hold.planned_seq)
        refuse_outdated(hold.plan, self.book.shop().instruments)
