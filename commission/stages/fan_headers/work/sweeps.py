"""Sweeps in the log: level by level, and the verdict on each."""

from collections.abc import Sequence

from commission.base.errors import InputError, NotAllowed, in_words
from commission.base.frozen import replace
from commission.procedure.model import When
from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.build_state import BuildState
from commission.record.logged import Logged
from commission.record.machine.seats import Chain, Feed, Header
from commission.record.record import Record
from commission.record.stage_work import StageWork
from commission.stages.fan_headers.entries import LevelSwept, SweepAborted, SweepBegun, SweepSource, SweepTaken
from commission.stages.fan_headers.model.sweep import FULL_PCT, Sweep, SweepReading, SweepSetup, SweepVerdict
from commission.stages.fan_headers.state import FanHeadersState, SweepAtHand
from commission.stages.fan_headers.work.seats import chain_of
from commission.stages.fan_headers.work.sweep_doubts import same_speeds


class Sweeps(StageWork):
    """Sweeps of what sits on the headers; they wait for the first power-on, their cautions do not."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, FAN_HEADERS, while_locked=True)

    def setup_of(self, state: BuildState, chain_id: str, *, step_rpm: float = 1.0) -> SweepSetup:
        """Return what is known of a chain and of the header that it sits on.

        Raises
        ------
        UnknownName
            If there is no such chain.
        NotAllowed
            If it sits on no header.
        """
        chain, header = chain_of(state, chain_id), self._seat(state, chain_id)
        reporting = chain.devices[(chain.reports or 1) - 1]
        return SweepSetup(
            step_rpm=step_rpm,
            nameplate_rpm=reporting.nameplate_rpm,
            wires=min(device.wires for device in chain.devices),
            mode=header.set_to,
            feed=chain.feed,
            fans=len(chain.devices),
            pump=chain.pump,
            control_wanted=chain.control_wanted,
        )

    def sweep_floor_pct(self, state: BuildState, chain_id: str) -> float:
        """Return the lowest duty of a sweep: the procedure's, or the one that the pump's maker allows [%]."""
        return max(self.stage(state).limit("sweep_floor_percent"), self._lowest_pct(state, chain_of(state, chain_id)))

    def begin_sweep(
        self, build_id: str, chain_id: str, source: SweepSource = SweepSource.TYPED, *, step_rpm: float = 1.0
    ) -> Logged:
        """Begin to sweep a chain level by level; one that goes on is given up.

        Raises
        ------
        NotAllowed
            If the stage is locked, its cautions are unanswered, or the chain sits on no header.
        """
        state = self.sweepable(build_id)
        header = self._seat(state, chain_id)
        begun = SweepBegun(chain_id=chain_id, header_id=header.header_id, source=source, step_rpm=step_rpm)
        return self.book.record(build_id, begun)

    def sweep_level(self, build_id: str, readings: Sequence[SweepReading], *, uid: str = "") -> Logged:
        """Record the speeds at one duty.

        Raises
        ------
        NotAllowed
            If no sweep was begun.
        InputError
            If a figure cannot be, or the duty is below what the pump's maker allows.
        """
        state = self.sweepable(build_id)
        at_hand = _at_hand(state)
        self.refuse_readings(state, at_hand.begun.chain_id, readings)
        return self.book.record(build_id, LevelSwept(readings=tuple(readings)), uid=uid)

    def sweep_verdict(self, state: BuildState) -> SweepVerdict:
        """Judge the running sweep as it stands.

        Raises
        ------
        NotAllowed
            If no sweep was begun.
        """
        from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers

        begun = _at_hand(state).begun
        setup = self.setup_of(state, begun.chain_id, step_rpm=begun.step_rpm)
        return evaluate_fan_headers(Sweep(readings=_at_hand(state).readings), setup)

    def end_sweep(self, build_id: str, *, sweep: Sweep | None = None, done: str = "") -> SweepVerdict:
        """End the running sweep and judge it for the record.

        Parameters
        ----------
        build_id
            The build.
        sweep
            The sweep with what else was seen, such as whether the blades turned; None for the readings alone.
        done
            What was done since the last sweep of the chain failed.

        Raises
        ------
        NotAllowed
            If no sweep was begun.
        InputError
            If no speed at 100 % was read.
        """
        state = self.sweepable(build_id)
        at_hand = _at_hand(state)
        begun = at_hand.begun
        seen = Sweep(readings=at_hand.readings) if sweep is None else replace(sweep, readings=at_hand.readings)
        return self._take(state, begun.chain_id, begun.source, seen, begun.step_rpm, done)

    def abort_sweep(self, build_id: str, reason: str) -> Logged:
        """Record that the running sweep is aborted; what was read is not judged.

        Raises
        ------
        NotAllowed
            If no sweep was begun, or nothing is said of why.
        """
        at_hand = _at_hand(self.known(build_id))
        if not reason.strip():
            raise NotAllowed("say why the sweep is aborted")
        return self.book.record(build_id, SweepAborted(chain_id=at_hand.begun.chain_id, reason=reason.strip()))

    def take_sweep(
        self,
        build_id: str,
        chain_id: str,
        sweep: Sweep,
        source: SweepSource,
        *,
        step_rpm: float = 1.0,
        done: str = "",
    ) -> SweepVerdict:
        """Record a whole sweep, such as one from a file, and return what it proves.

        ``done``: what was done since the last sweep of the chain failed.

        Raises
        ------
        NotAllowed
            If the stage is locked, its cautions are unanswered, or the chain sits on no header.
        InputError
            If a figure cannot be, or no speed at 100 % was read.
        """
        state = self.sweepable(build_id)
        self.refuse_readings(state, chain_id, sweep.readings)
        return self._take(state, chain_id, source, sweep, step_rpm, done)

    def sweepable(self, build_id: str) -> BuildState:
        """Return the state of a build whose chains may be swept and judged.

        Raises
        ------
        NotAllowed
            If the stage is locked, or its cautions are unanswered.
        """
        self.unlocked(build_id)
        return self.answered(build_id, When.BEFORE_SWEEP)

    def _seat(self, state: BuildState, chain_id: str) -> Header:
        """Return the header that a chain sits on."""
        chain = chain_of(state, chain_id)
        header = state.plugged.header(state.plugged.seats().get(chain_id))
        if header is None:
            raise NotAllowed(f'"{chain.name}" sits on no header; plug it in and record where first')
        return header

    def _take(
        self, state: BuildState, chain_id: str, source: SweepSource, sweep: Sweep, step_rpm: float, done: str
    ) -> SweepVerdict:
        from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers

        if all(reading.duty_pct != FULL_PCT for reading in sweep.readings):
            raise InputError("no speed at 100 % was read; set 100 %, wait, and read it; or abort the sweep")
        setup, header = self.setup_of(state, chain_id, step_rpm=step_rpm), self._seat(state, chain_id)
        verdict = evaluate_fan_headers(sweep, setup)
        taken = SweepTaken(
            chain_id=chain_id,
            header_id=header.header_id,
            source=source,
            sweep=sweep,
            setup=setup,
            verdict=replace(verdict, picture=None),
            program=self.book.program,
            same_as=same_speeds(state, sweep.readings),
            done=done.strip(),
        )
        self.book.record(state.build_id, taken)
        return verdict

    def refuse_readings(self, state: BuildState, chain_id: str, readings: Sequence[SweepReading]) -> None:
        """Refuse readings that cannot be, and duties that the maker of a pump does not allow.

        Raises
        ------
        InputError
            If one is amiss; the message says which.
        """
        from commission.stages.fan_headers.judge.sweep_levels import refuse_sweep

        chain = chain_of(state, chain_id)
        with in_words():
            refuse_sweep(Sweep(readings=tuple(readings)))
        lowest = self._lowest_pct(state, chain)
        if any(reading.duty_pct < lowest for reading in readings):
            by = "by its maker" if chain.lowest_duty_pct is not None else "its maker's lowest duty is not written down"
            raise InputError(f'"{chain.name}" may not go below {lowest:g} %: {by}; stay at or above it')

    def _lowest_pct(self, state: BuildState, chain: Chain) -> float:
        """Return the lowest duty that a chain may ever see [%].

        A pump whose maker states none stays at full speed, unless nothing can slow it: it is fed by the supply, or its
        header is locked; even then the procedure's floor holds.
        """
        if chain.lowest_duty_pct is not None:
            return chain.lowest_duty_pct
        if not chain.pump or chain.feed is Feed.SUPPLY:
            return 0.0
        header = state.plugged.header(state.plugged.seats().get(chain.chain_id))
        held = header is not None and not header.may_stop_a_pump
        return self.stage(state).limit("sweep_floor_percent") if held else FULL_PCT


def _at_hand(state: BuildState) -> SweepAtHand:
    sweeping = state.of(FanHeadersState).sweeping
    if sweeping is None:
        raise NotAllowed("no sweep was begun; begin one first")
    return sweeping
