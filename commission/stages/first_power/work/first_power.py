"""The first power-on in the log: supply, cables, voltages, the wet watch, the start of the whole machine."""

from collections.abc import Sequence

from commission.base.clock import ClockMark, elapsed_between
from commission.base.errors import InputError, NotAllowed, in_words
from commission.base.frozen import replace
from commission.base.quantity import Phrase
from commission.procedure.model import When
from commission.procedure.stage_ids import FAN_HEADERS, FILL, FIRST_POWER, HOLD
from commission.record.build_state import BuildState
from commission.record.done_at import done_mark
from commission.record.locks import counts, disproved, not_repaired, rung_lock, seats_lock
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.dryness import refuse_wet
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.proof import Proof
from commission.record.machine.rungs import Rung
from commission.record.past import TAKEN_OVER, saying_so
from commission.record.record import Record
from commission.record.stage_work import StageWork
from commission.record.staleness import shown_run
from commission.stages.first_power.entries import (
    CableTested,
    FirstPowerClosed,
    JointLooked,
    MachineStarted,
    MultimeterNamed,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    WetWatchEnded,
)
from commission.stages.first_power.model.cables import CableTest, CableVerdict
from commission.stages.first_power.model.ladder import FirstPowerVerdict, PowerRecord
from commission.stages.first_power.model.machine_start import MachineStart, MachineVerdict
from commission.stages.first_power.model.rails import LeftOut, Rail, RailReading, RailsVerdict, Revision
from commission.stages.first_power.model.wet_watch import LevelLook, WetLook, WetRule, WetVerdict, WetWatch
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.aborts import PowerAborts
from commission.stages.first_power.work.cable_doubts import refuse_below_leads, same_voltages
from commission.stages.first_power.work.findings import PowerFindings
from commission.stages.first_power.work.joint_rules import refuse_joints
from commission.stages.first_power.work.plug_kinds import as_measured, left_out_of, refuse_other_plug

WANTED_RAILS = (Rail.V12, Rail.V5, Rail.V3_3, Rail.STANDBY)
"""Voltages that every supply for a board must show; -12 V is optional since ATX 3.0."""
MOMENTS = {
    Rung.CABLES: When.BEFORE_POWER,
    Rung.SUPPLY: When.BEFORE_POWER,
    Rung.PUMP: When.BEFORE_PUMP,
    Rung.MACHINE: When.BEFORE_MACHINE,
}
"""When the cautions of each rung must have been answered."""


class FirstPower(StageWork):
    """The use cases of the first power-on.

    Cables and supply may be measured while the stage is still locked: they have nothing to do with the loop. The pump
    and the machine may not.
    """

    def __init__(self, book: Record) -> None:
        super().__init__(book, FIRST_POWER, while_locked=True)  # the rungs have locks of their own
        self.findings = PowerFindings(book)
        """What was found and mended on the ladder."""
        self.aborts = PowerAborts(book)
        """Tests that are aborted."""

    # --- what is known ------------------------------------------------------------------------------------------

    def record_of(self, state: BuildState) -> PowerRecord:
        """Return what the ladder is judged by; only verdicts that still count are in it."""
        held, filled, air = counts(state, HOLD), counts(state, FILL), disproved(state, Proof.BLED)
        hurt = not_repaired(state, Change.BURNT)
        return state.of(FirstPowerState).record(hold_passed=held, filled=filled, bleed_failed=air, hurt=hurt)

    def verdict(self, state: BuildState) -> FirstPowerVerdict:
        """Judge the ladder as it stands."""
        from commission.stages.first_power.judge.ladder import evaluate_first_power

        record = self.record_of(state)
        verdict, wet = evaluate_first_power(record), () if record.wet is None else record.wet.reasons
        said = self.book.past.saying_so(verdict.reasons, state, shown_run(state, FIRST_POWER))
        if any(one.code == TAKEN_OVER.code for one in wet):  # of an attempt before this one
            said = saying_so(said)
        return replace(verdict, reasons=said)

    def locked(self, state: BuildState, rung: Rung) -> Phrase | None:
        """Return why a rung may not be climbed yet; None where it may."""
        return rung_lock(state, rung) or (seats_lock(state, *self._budget(state)) if rung is Rung.MACHINE else None)

    def wet_rule(self, state: BuildState) -> WetRule:
        """Return when a wet watch is long enough."""
        stage = self.stage(state)
        return WetRule(watch_s=stage.limit("wet_watch_s"), looks=round(stage.limit("wet_looks")))

    def watch(
        self, state: BuildState, level: LevelLook = LevelLook.NOT_LOOKED, noise: Noise = Noise.NOT_LISTENED
    ) -> WetWatch:
        """Return the wet watch that goes on, as it stands.

        Raises
        ------
        NotAllowed
            If the pump was not started.
        """
        power = state.of(FirstPowerState)
        if power.pump_since is None:
            raise NotAllowed("the pump was not started; start it first")
        since = _surely_s(power.pump_since, self.book.past.moment())
        moved = max((elapsed_between(power.pump_since, done_mark(one)).elapsed_s for one in state.wetted), default=0.0)
        return WetWatch(
            joints=power.joints,
            looks=power.looks,
            elapsed_s=max(0.0, since),
            moved_s=moved if moved > 0 else None,
            leak_told=power.leak_told,
            level=level,
            noise=noise,
        )

    def wet_verdict(self, state: BuildState) -> WetVerdict:
        """Judge the wet watch as it stands: above all, which joint is due and when."""
        from commission.stages.first_power.judge.wet_watch import evaluate_wet_watch

        return evaluate_wet_watch(self.watch(state), self.wet_rule(state))

    # --- cables and supply --------------------------------------------------------------------------------------

    def describe_supply(self, build_id: str, *, name: str, revision: Revision, hand_made: Sequence[str]) -> Logged:
        """Record the supply, the guide that it claims to follow, and which cables were made by hand.

        Raises
        ------
        NotAllowed
            If the cautions are unanswered.
        InputError
            If two cables have the same name.
        """
        self.answered(build_id, When.BEFORE_POWER)
        if len({cable.casefold() for cable in hand_made}) < len(hand_made):
            raise InputError("two cables have the same name; give each its own")
        return self.book.record(build_id, SupplyDescribed(name=name, revision=revision, hand_made=tuple(hand_made)))

    def name_multimeter(self, build_id: str, name: str) -> Logged:
        """Record which multimeter cables and voltages are read with from here on.

        Raises
        ------
        NotAllowed
            If that is recorded already.
        InputError
            If the name is empty or too long.
        """
        from commission.record.logbook import checked_name

        called = checked_name(name)
        if self.known(build_id).of(FirstPowerState).multimeter == called:
            raise NotAllowed(f"that is recorded already: {called}")
        return self.book.record(build_id, MultimeterNamed(name=called))

    def test_cable(self, build_id: str, test: CableTest, *, same_as: str = "") -> CableVerdict:
        """Record everything that was measured on a cable so far, and return what it proves.

        ``same_as``: the other cable with the very same readings, where that was said to be right.

        Raises
        ------
        NotAllowed
            If the cautions are unanswered or the cable is not among those made by hand.
        InputError
            If a figure makes no sense, or the cable is called by another kind of plug than it was measured as, or a
            wire reads less than the meter's leads.
        """
        from commission.stages.first_power.judge.cable import evaluate_cable

        state = self.answered(build_id, When.BEFORE_POWER)
        made = self._supply(state).hand_made
        if test.cable.name not in made:
            raise NotAllowed(f'"{test.cable.name}" is not among the cables made by hand: {", ".join(made) or "none"}')
        refuse_other_plug(test.cable)
        refuse_below_leads(test)
        with in_words():
            verdict = evaluate_cable(test)
        attempt, program = self._attempt(state), self.book.program
        tested = CableTested(attempt=attempt, test=test, verdict=verdict, program=program, same_as=same_as)
        self.book.record(build_id, tested)
        return verdict

    def read_rails(
        self,
        build_id: str,
        readings: Sequence[RailReading],
        *,
        power_good_ms: float | None = None,
        left_out: Sequence[LeftOut] | None = None,
    ) -> RailsVerdict:
        """Record the voltages of the supply alone, all that were read so far, and return what they prove.

        Parameters
        ----------
        build_id
            The build.
        readings
            Voltages in the order read [V].
        power_good_ms
            Delay of PWR_OK [ms]; None where it was not measured.
        left_out
            Plugs that are not read, each with its reason; None: those that were left out before.

        Raises
        ------
        NotAllowed
            If the rung is locked or its cautions are unanswered.
        InputError
            If a figure makes no sense, or a plug is left out without a reason.
        """
        from commission.stages.first_power.judge.rails import evaluate_rails, judge_power_good

        state = self._climbing(build_id, Rung.SUPPLY)
        out = tuple(left_out_of(state, readings, state.of(FirstPowerState).left_out if left_out is None else left_out))
        plugs = state.of(FirstPowerState).plugs_wanted
        readings = as_measured(readings, state.of(FirstPowerState).cables)
        revision, sag_v = self._supply(state).revision, self.stage(state).limit("plug_sag_v")
        with in_words():
            verdict = evaluate_rails(
                readings,
                revision,
                sag_v=sag_v,
                wanted=WANTED_RAILS,
                plugs=plugs,
                left_out=out,
            )
            good = None if power_good_ms is None else judge_power_good(power_good_ms, revision)
        attempt, program = self._attempt(state), self.book.program
        read = RailsRead(
            attempt=attempt,
            readings=tuple(readings),
            verdict=verdict,
            power_good=good,
            left_out=out,
            program=program,
            same_as=same_voltages(state.of(FirstPowerState), readings),
        )
        self.book.record(build_id, read)
        return verdict

    # --- the pump -----------------------------------------------------------------------------------------------

    def start_pump(self, build_id: str, joints: Sequence[str]) -> Logged:
        """Record that the pump alone was switched on, and which joints are to be looked at.

        Raises
        ------
        NotAllowed
            If the rung is locked, its cautions are unanswered, or the pump runs already by the record.
        InputError
            If no joint is named, or one twice.
        """
        state = self._climbing(build_id, Rung.PUMP)
        if state.of(FirstPowerState).pump_since is not None:
            raise NotAllowed("by this log the pump runs already; go on with the leak checks, or end the leak watch")
        refuse_joints(state, joints)
        return self.book.record(build_id, PumpStarted(attempt=self._attempt(state), joints=tuple(joints)))

    def look(self, build_id: str, joint: str, paper: Paper, note: str = "") -> Logged:
        """Record a look at a joint, now.

        Raises
        ------
        NotAllowed
            If the pump was not started, or the note of a dry look says that something is wet.
        InputError
            If there is no such joint.
        """
        if paper is Paper.DRY:
            refuse_wet(note)
        state = self.known(build_id)
        watch = self.watch(state)
        known = next((name for name in watch.joints if name.casefold() == joint.casefold()), None)
        if known is None:
            raise InputError(f'there is no joint "{joint}"; there are: {", ".join(watch.joints)}')
        look = WetLook(joint=known, paper=paper, elapsed_s=watch.elapsed_s, note=note)
        return self.book.record(build_id, JointLooked(attempt=self._attempt(state), look=look))

    def end_watch(self, build_id: str, *, level: LevelLook, noise: Noise) -> WetVerdict:
        """Record that the pump was switched off, and judge the watch.

        Raises
        ------
        NotAllowed
            If the pump was not started.
        """
        from commission.stages.first_power.judge.wet_watch import evaluate_wet_watch

        state = self.known(build_id)
        watch = self.watch(state, level, noise)
        verdict = evaluate_wet_watch(watch, self.wet_rule(state))
        verdict = replace(verdict, reasons=self.book.past.saying_so(verdict.reasons, state, state.run(FIRST_POWER)))
        attempt, program = self._attempt(state), self.book.program
        self.book.record(build_id, WetWatchEnded(attempt=attempt, watch=watch, verdict=verdict, program=program))
        return verdict

    # --- the machine --------------------------------------------------------------------------------------------

    def start_machine(self, build_id: str, start: MachineStart) -> MachineVerdict:
        """Record the first start of the whole machine and return what it proves.

        Raises
        ------
        NotAllowed
            If the rung is locked, its cautions are unanswered, or the pump sits where it can be stopped.
        InputError
            If a figure makes no sense.
        """
        from commission.stages.first_power.judge.machine_start import evaluate_machine_start

        state = self._climbing(build_id, Rung.MACHINE)
        stage = self.stage(state)
        with in_words():
            verdict = evaluate_machine_start(
                start,
                pump_within_s=stage.limit("pump_within_s"),
                hot_k=stage.limit("processor_hot_k"),
                pump_doubt=state.pump_doubt,
                plate_rpm=state.plugged.pump_plate_rpm,
                pumps=state.plugged.pumps,
            )
        attempt, program = self._attempt(state), self.book.program
        self.book.record(build_id, MachineStarted(attempt=attempt, start=start, verdict=verdict, program=program))
        return verdict

    def close(self, build_id: str) -> FirstPowerVerdict:
        """End the first power-on and judge it for the record.

        Raises
        ------
        NotAllowed
            If nothing was done since it was last ended, or the pump still runs by the record.
        """
        state = self.known(build_id)
        run = state.run(FIRST_POWER)
        if not run.running:
            raise NotAllowed("nothing was done yet; begin with the supply and its cables")
        if state.of(FirstPowerState).pump_since is not None:
            raise NotAllowed("by this log the pump still runs; switch it off, then end the leak watch")
        verdict = self.verdict(state)
        closed = FirstPowerClosed(attempt=run.attempt, verdict=verdict, program=self.book.program)
        self.book.record(build_id, closed)
        return verdict

    # --- beneath ------------------------------------------------------------------------------------------------

    def _budget(self, state: BuildState) -> tuple[int, float]:
        """Return the share of a rating that steady currents may take [%], and start over steady current [1]."""
        stage = self.book.procedure(state).stage(FAN_HEADERS)
        return round(stage.limit("steady_percent")), stage.limit("start_factor")

    def _attempt(self, state: BuildState) -> int:
        return state.run(FIRST_POWER).attempt

    def _supply(self, state: BuildState) -> SupplyDescribed:
        supply = state.of(FirstPowerState).supply
        if supply is None:
            raise NotAllowed("the supply was not described; type its name, its guide and the cables made by hand")
        return supply

    def _climbing(self, build_id: str, rung: Rung) -> BuildState:
        """Return the state of a build where a rung may be climbed now."""
        state = self.answered(build_id, MOMENTS[rung])
        self._supply(state)
        locked = self.locked(state, rung)
        if locked is not None:
            raise NotAllowed(f'"{rung}" is locked. {locked.template}')
        return state


def _surely_s(first: ClockMark, now: ClockMark) -> float:
    """Return the time that surely went by [s]: after a restart the time since it, for a wall clock can be set."""
    whole = elapsed_between(first, now)
    if not (first.boot_id and now.boot_id):
        return whole.elapsed_s  # written up later: the verdict says so
    up_s = (now.mono_ms if now.boot_ms is None else now.boot_ms) / 1000
    return min(whole.elapsed_s, up_s) if whole.restarted else whole.elapsed_s
