"""The pressure hold, one thing to do at a time: cautions, volume, plan, steps, readings, verdict, and the way back."""

from enum import StrEnum

from commission.domain.entries import HoldPlan
from commission.domain.loop import LoopVolume, weakest_part
from commission.logbook.book import Logbook
from commission.logbook.ladder import StageState
from commission.procedure.model import Caution, When
from commission.tui.flows.ask import Flow, Question
from commission.tui.flows.figures import energy, pressure
from commission.tui.flows.hold_after import After
from commission.tui.flows.hold_before import Before
from commission.tui.flows.hold_plan import stored_joule
from commission.tui.flows.hold_planning import Planning
from commission.tui.flows.hold_running import Running
from commission.tui.widgets.bench_card import CardContent, CautionLine, CautionMark

STAGE = "pressure_hold"
LARGE_LOOP_M3 = 2e-3
"""Volume by which the stored energy is told while no part is known [m3]; common practice, no source."""


class Phase(StrEnum):
    """Where in the hold one is."""

    CAUTIONS = "cautions"
    PLAN = "plan"
    STEPS = "steps"
    RUNNING = "running"
    AFTER = "after"


class HoldFlow(Flow):
    """The way through the pressure hold of one build; it can be left and taken up again at any point."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__()
        self.book = book
        self.build_id = build_id
        self._head = -1
        self.again = False
        """Whether another attempt was asked for after the last one was judged."""
        self.refresh()
        self.planning = Planning(self)
        self.before = Before(self)
        self.running = Running(self)
        self.after = After(self)

    def refresh(self) -> None:
        """Read the record again, where anything was added to it."""
        head = self.book.head().seq
        if head == self._head:
            return
        self._head = head
        self.state = self.book.build(self.build_id)
        self.shop = self.book.shop()
        self.stage = self.book.procedure(self.state).stage(STAGE)

    # --- where we are ----------------------------------------------------------------------------------------

    @property
    def phase(self) -> Phase:
        """Where in the hold one is, from the record."""
        hold = self.state.hold
        if hold.running:
            return Phase.RUNNING
        fresh = not hold.acknowledged and not hold.printed and hold.plan is None
        if self.state.judged_hold is not None and fresh and not self.again:
            return Phase.AFTER
        if self.book.hold.missing_cautions(self.state):
            return Phase.CAUTIONS
        if hold.plan is None or self.planning.open:
            return Phase.PLAN
        return Phase.STEPS

    @property
    def last_plan(self) -> HoldPlan | None:
        """The plan of this attempt, else of the one before."""
        judged = self.state.judged_hold
        return self.state.hold.plan or (judged.plan if judged else None)

    @property
    def part_at_hand(self) -> "Planning | Before | Running | After":
        """What asks now."""
        match self.phase:
            case Phase.RUNNING:
                return self.running
            case Phase.AFTER:
                return self.after
            case Phase.PLAN:
                return self.planning
            case _:
                return self.before

    def question(self) -> Question | None:
        """Return what is asked now."""
        return self.part_at_hand.question()

    def ladder(self) -> tuple[StageState, ...]:
        """Return the stages of the build, each with the word for its state."""
        return self.book.ladder(self.state)

    def back(self) -> bool:
        """Leave a half-answered form."""
        return self.part_at_hand.back()

    # --- what is known ---------------------------------------------------------------------------------------

    def card(self) -> CardContent:
        """Return everything that is known of the hold."""
        return self.part_at_hand.card(
            CardContent(
                proves=self.stage.proves,
                rests_on=self._rests_on(),
                cautions=self._cautions(),
                cautions_open=self.phase is Phase.CAUTIONS,
            )
        )

    def caution_text(self, caution: Caution) -> str:
        """Return a caution with this loop's energy, rating and pressure in it."""
        plan = self.last_plan
        target = plan.target_gauge_pa if plan else self.stage.limit("target_gauge_pa")
        unit = plan.gauge.unit if plan else "bar"
        weakest = weakest_part(self.state.parts)
        rating = "not known yet, look at each part"
        if weakest is not None and weakest.max_gauge_pa is not None:
            rating = f"{pressure(weakest.max_gauge_pa, 'bar')}, {weakest.name}"
        text = caution.text.replace("{energy}", self._energy(target))
        return text.replace("{rating}", rating).replace("{pressure}", pressure(target, unit))

    def loop(self) -> LoopVolume | None:
        """Return the volume of the loop as the record has it, None where it has none."""
        return self.state.volume

    def _energy(self, target: float) -> str:
        plan, loop = self.state.hold.plan, self.state.volume
        if plan is not None:
            return energy(stored_joule(plan.volume_m3, target))
        if loop is not None:
            return energy(stored_joule(loop.volume_m3 + 2 * loop.u_volume_m3, target))
        return f"{energy(stored_joule(LARGE_LOOP_M3, target))}, if the loop holds 2 L"

    def _rests_on(self) -> str:
        parts, loop = self.state.parts, self.state.volume
        if not parts and loop is None:
            return "the build sheet, which is still empty (F2)"
        number = "1 part" if len(parts) == 1 else f"{len(parts)} parts"
        return f"the build sheet: {number}, nothing else"

    def _cautions(self) -> tuple[CautionLine, ...]:
        missing = self.book.hold.missing_cautions(self.state) if not self.state.hold.running else ()
        lines = []
        for caution in self.stage.cautions_at(When.BEFORE_PRESSURE):
            mark = CautionMark.OPEN if caution.id in missing else CautionMark.ANSWERED
            if missing and caution.id == missing[0] and self.phase is Phase.CAUTIONS:
                mark = CautionMark.NOW
            lines.append(CautionLine(text=self.caution_text(caution), mark=mark))
        return tuple(lines) if self.phase is not Phase.AFTER else ()
