"""The pressure hold, one thing to do at a time: volume, plan, cautions, steps, readings, verdict, and the way back."""

from enum import StrEnum

from commission.bench.ask import Flow, Question
from commission.bench.attempts import attempt_title
from commission.bench.card import CardContent
from commission.bench.clock_times import ClockTimes
from commission.procedure.model import When
from commission.procedure.stage_ids import HOLD
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.at_hand import HoldAtHand
from commission.stages.pressure_hold.card.after import After
from commission.stages.pressure_hold.card.before import Before
from commission.stages.pressure_hold.card.planning import Planning
from commission.stages.pressure_hold.card.ratings import Ratings
from commission.stages.pressure_hold.card.running import Running


class Phase(StrEnum):
    """Where in the hold one is."""

    PLAN = "plan"
    CAUTIONS = "cautions"
    STEPS = "steps"
    RUNNING = "running"
    AFTER = "after"


_SHOWN_AT = {"connect": When.CONNECTING, "pump_up": When.PUMPING_UP}
"""The moment of each step whose cautions are shown with it; the steps behind them are under pressure."""


class HoldFlow(Flow):
    """The way through the pressure hold of one build; it can be left and taken up again at any point."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.hand = HoldAtHand(book, build_id)
        """The build as last read, and what is in hand."""
        super().__init__(self.hand)
        self.planning = Planning(self.hand)
        self.ratings = Ratings(self.hand)
        self.before = Before(self.hand)
        self.running = Running(self.hand)
        self.after = After(self.hand)

    @property
    def phase(self) -> Phase:
        """Where in the hold one is, from the record."""
        hand = self.hand
        if hand.hold.running:
            return Phase.RUNNING
        if hand.shows_judged:
            return Phase.AFTER
        planned = hand.hold.plan is not None and not hand.plan_open
        if (planned or self.planning.on_air) and hand.work.missing_cautions(hand.state, When.BEFORE_PRESSURE):
            return Phase.CAUTIONS
        return Phase.STEPS if planned else Phase.PLAN

    def _part(self, phase: Phase) -> Planning | Before | Running | After | Ratings:
        """Return what asks in a phase."""
        match phase:
            case Phase.RUNNING:
                return self.running
            case Phase.AFTER:
                return self.after
            case _ if self.ratings.unrated:
                return self.ratings
            case Phase.PLAN if not self.before.wet:
                return self.planning
            case _:
                return self.before

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        return attempt_title(self.hand.state, HOLD, "pressure hold", after=self.phase is Phase.AFTER)

    def times(self) -> ClockTimes | None:
        """Return the times of the hold while it runs."""
        return self.running.times() if self.phase is Phase.RUNNING else None

    def look(self) -> bool:
        """Judge again where something is new; return whether it is."""
        if self.phase is not Phase.RUNNING:
            self.left()
            return False
        came = self.running.live.take()
        if came:
            self.refresh()
        return self.running.look() or came

    @property
    def streams(self) -> bool:
        """Whether a gauge is read live."""
        return self.running.live.on

    def left(self) -> None:
        """Let a gauge go that is read live."""
        self.running.live.end()

    def question(self) -> Question | None:
        """Return what is asked now."""
        return self._part(self.phase).question()

    def back(self) -> bool:
        """Leave a half-answered form; a measurement on air, also from the cautions before it."""
        return self.planning.back() if self.planning.on_air else self._part(self.phase).back()

    def card(self) -> CardContent:
        """Return everything that is known of the hold."""
        phase = self.phase
        cautions = None if phase is Phase.AFTER else When.BEFORE_PRESSURE
        card = self._part(phase).card(self.hand.card(cautions, in_full=phase is Phase.CAUTIONS))
        moment = self._moment(phase)
        return card if moment is None else self.hand.shown_at(card, moment)

    def _moment(self, phase: Phase) -> When | None:
        """Return the moment whose cautions are shown beside what is asked; None where none are."""
        match phase:
            case Phase.STEPS:
                steps = self.hand.work.missing_steps(self.hand.state)
                return _SHOWN_AT.get(steps[0] if steps else "", When.UNDER_PRESSURE)
            case Phase.PLAN:
                return When.PUMPING_UP if self.planning.on_air else None
            case Phase.RUNNING:
                return When.UNDER_PRESSURE
            case Phase.AFTER:
                return None if self.after.vented else When.UNDER_PRESSURE
            case _:
                return None
