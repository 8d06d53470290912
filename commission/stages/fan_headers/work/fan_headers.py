"""The fan headers in the log: the best layout, the duties left, and the verdict on all chains."""

from commission.base.errors import InputError, NotAllowed, in_words
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.build_state import BuildState
from commission.record.logged import Logged
from commission.record.machine.parts import PartKind
from commission.record.machine.seats import Feed
from commission.record.record import Record
from commission.record.stage_work import StageWork
from commission.record.staleness import shown_run
from commission.stages.fan_headers.entries import DutyNoted, HeadersClosed, LayoutChosen
from commission.stages.fan_headers.model.all_chains import HeadersVerdict
from commission.stages.fan_headers.model.duties import DutyLeft, DutyPlan
from commission.stages.fan_headers.model.layout import Layout, LayoutAnswer, LayoutProblem, Seat
from commission.stages.fan_headers.model.left import Objection, against_duty
from commission.stages.fan_headers.model.sweep import FULL_PCT, SweepReading
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.work.seats import Seats, chain_of
from commission.stages.fan_headers.work.sweeps import Sweeps


class FanHeaders(StageWork):
    """The use cases of headers and chains: seats, sweeps, layouts, duties, and the end of the stage."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, FAN_HEADERS, while_locked=True)
        self.seats = Seats(book)
        """Headers, chains and what sits where."""
        self.sweeps = Sweeps(book)
        """Sweeps of what sits on the headers."""

    def problem(self, state: BuildState, *, start_override: bool = False) -> LayoutProblem:
        """Return the question for the best layout: what there is, where it sits now, and which seats a sweep barred."""
        from commission.stages.fan_headers.judge.layout_inputs import layout_chain, layout_header

        stage = self.stage(state)
        names = {header.header_id: header.name for header in state.plugged.headers}
        now = state.plugged.seats()
        return LayoutProblem(
            headers=tuple(map(layout_header, state.plugged.headers)),
            chains=tuple(
                layout_chain(chain, stage.limit("start_factor")) for chain in state.plugged.chains if chain.needs_header
            ),
            share_penalty=round(stage.limit("share_penalty_cm")),
            steady_percent=round(stage.limit("steady_percent")),
            start_factor=stage.limit("start_factor"),
            start_override=start_override,
            barred=tuple(self._barred(state, names)),
            now=tuple(
                Seat(chain=chain.name, header=names[now[chain.chain_id]])
                for chain in state.plugged.chains
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
        from commission.stages.fan_headers.judge.layout import best_layout

        with in_words():
            return best_layout(self.problem(state, start_override=start_override))

    def choose_layout(self, build_id: str, layout: Layout, why: str = "") -> Logged:
        """Record which layout is to be plugged; each chain is then moved by hand and recorded by itself."""
        self.known(build_id)
        return self.book.record(build_id, LayoutChosen(layout=layout, why=why))

    def note_duty(
        self, build_id: str, chain_id: str, duty_pct: float, rpm: float | None = None, *, reason: str = ""
    ) -> DutyLeft:
        """Record the duty that a chain was left at.

        Parameters
        ----------
        build_id, chain_id
            Which chain.
        duty_pct
            The duty, 0 to 100 [%].
        rpm
            Speed at it [rpm]; None where it was not read.
        reason
            Why the chain may stay at a duty that its sweep does not support; the verdict says it.

        Raises
        ------
        UnknownName
            If there is no such chain.
        NotAllowed
            If the stage is locked.
        InputError
            If the duty cannot be; for a pump also where its header is at full speed, or the duty is below the least.
        """
        state = self.unlocked(build_id)
        self.refuse_duty(state, chain_id, duty_pct, rpm)
        chain = chain_of(state, chain_id)
        taken = state.of(FanHeadersState).sweep_of(chain_id)
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
            reason=reason.strip(),
        )
        self.book.record(build_id, DutyNoted(chain_id=chain_id, left=left))
        return left

    def refuse_duty(self, state: BuildState, chain_id: str, duty_pct: float, rpm: float | None = None) -> None:
        """Refuse a duty that cannot be, or that a pump may never be left at.

        Raises
        ------
        UnknownName
            If there is no such chain.
        InputError
            If it is so; the message says why.
        """
        chain = chain_of(state, chain_id)
        self.sweeps.refuse_readings(state, chain_id, (SweepReading(duty_pct=duty_pct, rpm=rpm),))
        if not chain.pump or duty_pct >= FULL_PCT:
            return
        header = state.plugged.header(state.plugged.seats().get(chain_id))
        if chain.feed is Feed.SUPPLY:
            raise InputError(f'"{chain.name}" is fed by the supply: no header sets its duty; leave it at 100')
        if header is not None and header.full_speed_lock:
            raise InputError(
                f'"{chain.name}" is on {header.name}, which runs at full speed: it cannot be at '
                f"{duty_pct:g} %. Check the firmware, and keep it at 100"
            )
        taken = state.of(FanHeadersState).sweep_of(chain_id)
        against = against_duty(chain, None if taken is None else taken.taken.verdict, duty_pct)
        if against is not None:
            raise InputError(f"{against.template} A pump is never left there: set a higher duty")

    def objection(
        self, state: BuildState, chain_id: str, duty_pct: float, rpm: float | None = None
    ) -> Objection | None:
        """Return what its sweep has against leaving a chain at a duty and speed [%, rpm]; None where nothing."""
        chain = chain_of(state, chain_id)
        left = DutyLeft(chain=chain.name, zone="", duty_pct=duty_pct, rpm=rpm, full_rpm=None)
        return state.of(FanHeadersState).against(chain, left)

    def duty_plan(self, state: BuildState) -> DutyPlan:
        """Return the duties that all chains were left at, with an estimate of their sound."""
        from commission.stages.fan_headers.judge.duties import plan_duties

        return plan_duties([left for _, left in state.of(FanHeadersState).duties])

    def verdict(self, state: BuildState) -> HeadersVerdict:
        """Judge all chains as they stand."""
        from commission.stages.fan_headers.judge.verdict import evaluate_header_stage

        stage = self.stage(state)
        percent, factor = round(stage.limit("steady_percent")), stage.limit("start_factor")
        verdict = evaluate_header_stage(
            state.plugged,
            state.of(FanHeadersState),
            steady_percent=percent,
            start_factor=factor,
            pump_doubt=state.pump_doubt,
            radiators=sum(part.kind is PartKind.RADIATOR for part in state.parts),
        )
        return replace(verdict, reasons=self.book.past.saying_so(verdict.reasons, state, shown_run(state, FAN_HEADERS)))

    def close(self, build_id: str) -> HeadersVerdict:
        """End the stage and judge it for the record.

        Raises
        ------
        NotAllowed
            If the stage is locked, its cautions are unanswered, or no chain is written down.
        """
        state = self.sweeps.sweepable(build_id)
        if not state.plugged.chains:
            raise NotAllowed("no chain is written down; there is nothing to judge")
        verdict = self.verdict(state)
        attempt = state.run(FAN_HEADERS).attempt
        self.book.record(build_id, HeadersClosed(attempt=attempt, verdict=verdict, program=self.book.program))
        return verdict

    def _barred(self, state: BuildState, names: dict[str, str]) -> list[Seat]:
        """Return the seats where the last sweep that still counts showed that the header does not control the chain."""
        taken = [state.of(FanHeadersState).sweep_of(chain.chain_id) for chain in state.plugged.chains]
        return [
            Seat(chain=chain_of(state, each.taken.chain_id).name, header=names[each.taken.header_id])
            for each in taken
            if each is not None and each.taken.verdict.outcome is Outcome.FAIL and each.taken.header_id in names
        ]
