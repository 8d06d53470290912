"""The pressure hold, one thing to do at a time: cautions, volume, plan, steps, readings, verdict, and the way back."""

from enum import StrEnum

from commission.bench.ask import Question
from commission.bench.card import CardContent, CautionLine, CautionMark
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.card.after import After
from commission.stages.pressure_hold.card.base import HoldBase
from commission.stages.pressure_hold.card.before import Before
from commission.stages.pressure_hold.card.planning import Planning
from commission.stages.pressure_hold.card.ratings import Ratings
from commission.stages.pressure_hold.card.running import Running
from commission.stages.pressure_hold.state.attempt import hold_of, judged_hold


class Phase(StrEnum):
    """Where in the hold one is."""

    CAUTIONS = "cautions"
    PLAN = "plan"
    STEPS = "steps"
    RUNNING = "running"
    AFTER = "after"


class HoldFlow(HoldBase):
    """The way through the pressure hold of one build; it can be left and taken up again at any point."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(book, build_id)
        self.planning = Planning(self)
        self.ratings = Ratings(self)
        self.before = Before(self)
        self.running = Running(self)
        self.after = After(self)

    # --- where we are ----------------------------------------------------------------------------------------

    @property
    def phase(self) -> Phase:
        """Where in the hold one is, from the record."""
        hold = hold_of(self.state)
        if hold.running:
            return Phase.RUNNING
        fresh = not hold.acknowledged and not hold.printed and hold.plan is None
        if judged_hold(self.state) is not None and fresh and not self.again:
            return Phase.AFTER
        if self.book.hold.missing_cautions(self.state):
            return Phase.CAUTIONS
        if hold.plan is None or self.plan_open:
            return Phase.PLAN
        return Phase.STEPS

    @property
    def part_at_hand(self) -> Planning | Before | Running | After | Ratings:
        """What asks now."""
        match self.phase:
            case Phase.RUNNING:
                return self.running
            case Phase.AFTER:
                return self.after
            case _ if self.ratings.unrated:
                return self.ratings
            case Phase.PLAN:
                return self.planning
            case _:
                return self.before

    def question(self) -> Question | None:
        """Return what is asked now."""
        return self.part_at_hand.question()

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

    def _rests_on(self) -> str:
        parts, loop = self.state.parts, self.state.volume
        if not parts and loop is None:
            return "the build sheet, which is still empty (F2)"
        number = "1 part" if len(parts) == 1 else f"{len(parts)} parts"
        return f"the build sheet: {number}, nothing else"

    def _cautions(self) -> tuple[CautionLine, ...]:
        missing = self.book.hold.missing_cautions(self.state) if not hold_of(self.state).running else ()
        lines = []
        for caution in self.stage.cautions_at(When.BEFORE_PRESSURE):
            mark = CautionMark.OPEN if caution.id in missing else CautionMark.ANSWERED
            if missing and caution.id == missing[0] and self.phase is Phase.CAUTIONS:
                mark = CautionMark.NOW
            lines.append(CautionLine(text=self.caution_text(caution), mark=mark))
        return tuple(lines) if self.phase is not Phase.AFTER else ()
