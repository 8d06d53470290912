"""Headers and chains in the log: what sits where and since when, sweeps, layouts, and the duties left."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from commission.domain.build_state import BuildState
from commission.domain.duty_plan import DutyLeft, DutyPlan
from commission.domain.errors import InputError, NotAllowed, UnknownName
from commission.domain.fan_headers import Chain, Drive, Header, StopCause
from commission.domain.header_sheet import complaints_about_chain, complaints_about_header
from commission.domain.header_stage import HeadersVerdict
from commission.domain.layout import Layout, LayoutAnswer, LayoutProblem, Seat
from commission.domain.logged import Logged
from commission.domain.power_entries import (
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    DutyNoted,
    HeaderAdded,
    HeaderRemoved,
    HeadersClosed,
    HeaderSet,
    LayoutChosen,
    LevelSwept,
    SweepBegun,
    SweepSource,
    SweepTaken,
)
from commission.domain.power_fold import FAN_HEADERS
from commission.domain.power_state import SweepAtHand
from commission.domain.sweep import FULL_PCT, Sweep, SweepReading, SweepSetup, SweepVerdict
from commission.domain.verdict import Outcome
from commission.logbook.record import Record
from commission.logbook.stage_work import StageWork
from commission.procedure.model import When

if TYPE_CHECKING:
    from commission.evaluate.chain_load import SeatCheck


class FanHeaders(StageWork):
    """The use cases of headers, chains and sweeps.

    Headers, chains and what sits where may be written down while the stage is still locked: the machine is plugged
    together before it first runs. Sweeps and the verdict may not.
    """

    def __init__(self, book: Record) -> None:
        super().__init__(book, FAN_HEADERS)

    def reachable(self, build_id: str) -> BuildState:
        """Return the state of a build; only sweeps wait for the first power-on."""
        return self.known(build_id)

    # --- headers and chains -------------------------------------------------------------------------------------

    def add_header(self, build_id: str, header: Header) -> Logged:
        """Record a header.

        Raises
        ------
        InputError
            If its figures contradict each other, or the label is taken.
        """
        state = self.known(build_id)
        _refuse(complaints_about_header(header, state.power.headers))
        return self.book.record(build_id, HeaderAdded(header=header))

    def set_header(
        self,
        build_id: str,
        header_id: str,
        *,
        set_to: Drive | None,
        full_speed_lock: bool,
        stops: Sequence[StopCause] = (),
        why: str = "",
    ) -> Logged:
        """Record that a header was set another way in the firmware.

        Raises
        ------
        UnknownName
            If there is no such header.
        InputError
            If it offers no such mode.
        NotAllowed
            If a pump sits on it and could be stopped then.
        """
        state = self.known(build_id)
        header = _header(state, header_id)
        changed = replace(header, set_to=set_to, full_speed_lock=full_speed_lock, stops=tuple(stops))
        _refuse(complaints_about_header(changed, state.power.headers))
        on_it = state.power.on(header_id)
        if on_it:
            barred = [phrase for phrase in self._check(state, on_it, changed).blocked if phrase.code == "pump_can_stop"]
            if barred:
                raise NotAllowed(f"{barred[0].template} Set it back in the firmware, or move the pump first.")
        entry = HeaderSet(
            header_id=header_id, set_to=set_to, full_speed_lock=full_speed_lock, stops=tuple(stops), why=why
        )
        return self.book.record(build_id, entry)

    def remove_header(self, build_id: str, header_id: str, reason: str) -> Logged:
        """Record that a header is no longer there; what sat on it sits nowhere.

        Raises
        ------
        UnknownName
            If there is no such header.
        """
        _header(self.known(build_id), header_id)
        return self.book.record(build_id, HeaderRemoved(header_id=header_id, reason=reason))

    def add_chain(self, build_id: str, chain: Chain) -> Logged:
        """Record a chain of fans, or a pump.

        Raises
        ------
        InputError
            If its figures contradict each other, the name is taken, or its cable reaches a header that is not there.
        """
        state = self.known(build_id)
        labels = {header.name for header in state.power.headers}
        unknown = [reach.header for reach in chain.reach if reach.header not in labels]
        _refuse(
            (
                *complaints_about_chain(chain, state.power.chains),
                *(
                    f'there is no header "{name}" for its cable to reach; write the header down first'
                    for name in unknown
                ),
            )
        )
        return self.book.record(build_id, ChainAdded(chain=chain))

    def remove_chain(self, build_id: str, chain_id: str, reason: str) -> Logged:
        """Record that a chain was taken out.

        Raises
        ------
        UnknownName
            If there is no such chain.
        """
        _chain(self.known(build_id), chain_id)
        return self.book.record(build_id, ChainRemoved(chain_id=chain_id, reason=reason))

    def check(self, state: BuildState, chain_id: str, header_id: str) -> "SeatCheck":
        """Return what stands against a chain on a header, with everything else that sits there.

        Raises
        ------
        UnknownName
            If there is no such chain or header.
        """
        chain, header = _chain(state, chain_id), _header(state, header_id)
        others = tuple(other for other in state.power.on(header_id) if other.chain_id != chain_id)
        return self._check(state, (*others, chain), header)

    def move(
        self,
        build_id: str,
        chain_id: str,
        header_id: str | None,
        why: str = "",
        *,
        override: str = "",
        observed_ms: int | None = None,
    ) -> Logged:
        """Record that a chain was plugged in, re-plugged or unplugged.

        Parameters
        ----------
        build_id, chain_id
            Which chain.
        header_id
            On which header it sits from then on; None: on none.
        why
            Why, in the builder's words.
        override
            Why the start current may be above the rating; only that check can be overridden.
        observed_ms
            When it was done, if that was earlier than now [ms since 1970 UTC].

        Raises
        ------
        UnknownName
            If there is no such chain or header.
        NotAllowed
            If the cautions are unanswered, it sits there already, or a rule forbids it.
        """
        state = self.answered(build_id, When.BEFORE_PLUGGING)
        chain = _chain(state, chain_id)
        now = state.power.seats().get(chain_id)
        if now == header_id and observed_ms is None:
            where = f"on {_header(state, header_id).name}" if header_id else "on no header"
            raise NotAllowed(f'"{chain.name}" sits {where} already')
        if header_id is not None:
            _refuse_seat(self.check(state, chain_id, header_id), override)
        moved = ChainMoved(chain_id=chain_id, header_id=header_id, why=why, start_overridden=override.strip())
        return self.book.record(build_id, moved, observed_ms=observed_ms)

    # --- sweeps -------------------------------------------------------------------------------------------------

    def setup_of(self, state: BuildState, chain_id: str, *, step_rpm: float = 1.0) -> SweepSetup:
        """Return what is known of a chain and of the header that it sits on.

        Raises
        ------
        UnknownName
            If there is no such chain.
        NotAllowed
            If it sits on no header.
        """
        chain, header = _chain(state, chain_id), self._seat(state, chain_id)
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
        return max(self.stage(state).limit("sweep_floor_percent"), _chain(state, chain_id).lowest_duty_pct or 0.0)

    def begin_sweep(
        self, build_id: str, chain_id: str, source: SweepSource = SweepSource.TYPED, *, step_rpm: float = 1.0
    ) -> Logged:
        """Begin to sweep a chain level by level; one that goes on is given up.

        Raises
        ------
        NotAllowed
            If the stage is locked, its cautions are unanswered, or the chain sits on no header.
        """
        state = self._sweeping(build_id)
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
        state = self._sweeping(build_id)
        at_hand = _at_hand(state)
        self._refuse_readings(state, at_hand.begun.chain_id, readings)
        return self.book.record(build_id, LevelSwept(readings=tuple(readings)), uid=uid)

    def sweep_verdict(self, state: BuildState) -> SweepVerdict:
        """Judge the sweep at hand as it stands.

        Raises
        ------
        NotAllowed
            If no sweep was begun.
        """
        from commission.evaluate.fan_headers import evaluate_fan_headers

        begun = _at_hand(state).begun
        setup = self.setup_of(state, begun.chain_id, step_rpm=begun.step_rpm)
        return evaluate_fan_headers(Sweep(readings=_at_hand(state).readings), setup)

    def end_sweep(self, build_id: str, *, sweep: Sweep | None = None) -> SweepVerdict:
        """End the sweep at hand and judge it for the record.

        Parameters
        ----------
        build_id
            The build.
        sweep
            The sweep with what else was seen, such as whether the blades turned; None for the readings alone.

        Raises
        ------
        NotAllowed
            If no sweep was begun.
        InputError
            If no speed at 100 % was read.
        """
        state = self._sweeping(build_id)
        at_hand = _at_hand(state)
        begun = at_hand.begun
        seen = Sweep(readings=at_hand.readings) if sweep is None else replace(sweep, readings=at_hand.readings)
        return self._take(state, begun.chain_id, begun.source, seen, begun.step_rpm)

    def take_sweep(
        self, build_id: str, chain_id: str, sweep: Sweep, source: SweepSource, *, step_rpm: float = 1.0
    ) -> SweepVerdict:
        """Record a whole sweep, such as one from a file, and return what it proves.

        Raises
        ------
        NotAllowed
            If the stage is locked, its cautions are unanswered, or the chain sits on no header.
        InputError
            If a figure cannot be, or no speed at 100 % was read.
        """
        state = self._sweeping(build_id)
        self._refuse_readings(state, chain_id, sweep.readings)
        return self._take(state, chain_id, source, sweep, step_rpm)

    # --- layout and duties --------------------------------------------------------------------------------------

    def problem(self, state: BuildState, *, start_override: bool = False) -> LayoutProblem:
        """Return the question for the best layout: what there is, where it sits now, and which seats a sweep barred."""
        from commission.evaluate.chain_load import layout_chain, layout_header

        stage = self.stage(state)
        names = {header.header_id: header.name for header in state.power.headers}
        now = state.power.seats()
        return LayoutProblem(
            headers=tuple(map(layout_header, state.power.headers)),
            chains=tuple(layout_chain(chain, stage.limit("start_factor")) for chain in state.power.chains),
            share_penalty=round(stage.limit("share_penalty_cm")),
            steady_percent=round(stage.limit("steady_percent")),
            start_factor=stage.limit("start_factor"),
            start_override=start_override,
            barred=tuple(self._barred(state, names)),
            now=tuple(
                Seat(chain=chain.name, header=names[now[chain.chain_id]])
                for chain in state.power.chains
                if now.get(chain.chain_id) in names
            ),
            move_penalty=round(stage.limit("move_penalty_cm")),
        )

    def best_layout(self, state: BuildState, *, start_override: bool = False) -> LayoutAnswer:
        """Return the best way to plug everything in, as the record stands.

        Raises
        ------
        InputError
            If there are no headers or chains, or too many.
        """
        from commission.evaluate.layout import best_layout

        try:
            return best_layout(self.problem(state, start_override=start_override))
        except ValueError as error:
            raise InputError(str(error)) from None

    def choose_layout(self, build_id: str, layout: Layout, why: str = "") -> Logged:
        """Record which layout is to be plugged; each chain is then moved by hand and recorded by itself."""
        self.known(build_id)
        return self.book.record(build_id, LayoutChosen(layout=layout, why=why))

    def note_duty(self, build_id: str, chain_id: str, duty_pct: float, rpm: float | None = None) -> DutyLeft:
        """Record the duty that a chain was left at.

        Raises
        ------
        UnknownName
            If there is no such chain.
        InputError
            If the duty cannot be, or is below what the pump's maker allows.
        """
        state = self.known(build_id)
        chain = _chain(state, chain_id)
        self._refuse_readings(state, chain_id, (SweepReading(duty_pct=duty_pct, rpm=rpm),))
        taken = state.power.sweep_of(chain_id)
        verdict = taken.taken.verdict if taken else None
        left = DutyLeft(
            chain=chain.name,
            zone=chain.zone,
            duty_pct=duty_pct,
            rpm=rpm,
            full_rpm=verdict.full_rpm if verdict else None,
            fans=len(chain.devices),
            level_db=chain.devices[0].level_db,
            minimum_pct=verdict.stops.minimum_pct if verdict else None,
        )
        self.book.record(build_id, DutyNoted(chain_id=chain_id, left=left))
        return left

    def duty_plan(self, state: BuildState) -> DutyPlan:
        """Return the duties that all chains were left at, with an estimate of their sound."""
        from commission.evaluate.duty_plan import plan_duties

        return plan_duties([left for _, left in state.power.duties])

    # --- the verdict --------------------------------------------------------------------------------------------

    def verdict(self, state: BuildState) -> HeadersVerdict:
        """Judge all chains as they stand."""
        from commission.evaluate.header_stage import evaluate_header_stage

        return evaluate_header_stage(state.power)

    def close(self, build_id: str) -> HeadersVerdict:
        """End the stage and judge it for the record.

        Raises
        ------
        NotAllowed
            If the stage is locked, its cautions are unanswered, or no chain is written down.
        """
        state = self._sweeping(build_id)
        if not state.power.chains:
            raise NotAllowed("no chain is written down; there is nothing to judge")
        verdict = self.verdict(state)
        attempt = state.run(FAN_HEADERS).attempt
        self.book.record(build_id, HeadersClosed(attempt=attempt, verdict=verdict, program=self.book.program))
        return verdict

    # --- beneath ------------------------------------------------------------------------------------------------

    def _sweeping(self, build_id: str) -> BuildState:
        self.unlocked(build_id)
        return self.answered(build_id, When.BEFORE_SWEEP)

    def _check(self, state: BuildState, chains: Sequence[Chain], header: Header) -> "SeatCheck":
        from commission.evaluate.chain_load import check_seat

        stage = self.stage(state)
        percent, factor = round(stage.limit("steady_percent")), stage.limit("start_factor")
        return check_seat(chains, header, steady_percent=percent, start_factor=factor)

    def _seat(self, state: BuildState, chain_id: str) -> Header:
        """Return the header that a chain sits on."""
        chain = _chain(state, chain_id)
        header = state.power.header(state.power.seats().get(chain_id))
        if header is None:
            raise NotAllowed(f'"{chain.name}" sits on no header; plug it in and record where first')
        return header

    def _take(
        self, state: BuildState, chain_id: str, source: SweepSource, sweep: Sweep, step_rpm: float
    ) -> SweepVerdict:
        from commission.evaluate.fan_headers import evaluate_fan_headers

        if all(reading.duty_pct != FULL_PCT for reading in sweep.readings):
            raise InputError("no speed at 100 % was read; set 100 %, wait until the speed stands still, and read it")
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
        )
        self.book.record(state.build_id, taken)
        return verdict

    def _refuse_readings(self, state: BuildState, chain_id: str, readings: Sequence[SweepReading]) -> None:
        from commission.evaluate.sweep_levels import refuse_sweep

        chain = _chain(state, chain_id)
        try:
            refuse_sweep(Sweep(readings=tuple(readings)))
        except ValueError as error:
            raise InputError(str(error)) from None
        lowest = chain.lowest_duty_pct
        if lowest is not None and any(reading.duty_pct < lowest for reading in readings):
            raise InputError(f'"{chain.name}" may not go below {lowest:g} %, by its maker; stay at or above it')

    def _barred(self, state: BuildState, names: dict[str, str]) -> list[Seat]:
        """Return the seats where the last sweep that still counts showed that the header does not control the chain."""
        taken = [state.power.sweep_of(chain.chain_id) for chain in state.power.chains]
        return [
            Seat(chain=_chain(state, each.taken.chain_id).name, header=names[each.taken.header_id])
            for each in taken
            if each is not None and each.taken.verdict.outcome is Outcome.FAIL and each.taken.header_id in names
        ]


def _refuse(complaints: Sequence[str]) -> None:
    if complaints:
        raise InputError("; ".join(complaints))


def _refuse_seat(check: "SeatCheck", override: str) -> None:
    if check.blocked:
        raise NotAllowed(" ".join(phrase.template for phrase in check.blocked))
    if check.may_override and not override.strip():
        said = " ".join(phrase.template for phrase in check.may_override)
        raise NotAllowed(f"{said} It goes on only with a reason: override and why")


def _chain(state: BuildState, chain_id: str) -> Chain:
    for chain in state.power.chains:
        if chain.chain_id == chain_id:
            return chain
    raise UnknownName(f"there is no such chain; there are: {', '.join(c.name for c in state.power.chains) or 'none'}")


def _header(state: BuildState, header_id: str | None) -> Header:
    for header in state.power.headers:
        if header.header_id == header_id:
            return header
    raise UnknownName(f"there is no such header; there are: {', '.join(h.name for h in state.power.headers) or 'none'}")


def _at_hand(state: BuildState) -> SweepAtHand:
    if state.power.sweeping is None:
        raise NotAllowed("no sweep was begun; begin one first")
    return state.power.sweeping
