"""The thermal soak, one thing to do at a time: cautions, the coolant, readings, the look at the joints, verdict."""

from enum import StrEnum

from commission.base.frozen import replace
from commission.bench.ask import Flow, Question, asked_once, command
from commission.bench.at_hand import StageAtHand
from commission.bench.attempts import attempt_title
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.procedure.model import When
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.build_state import BuildState
from commission.record.logbook import Logbook
from commission.stages.thermal_soak.card.after import SoakAfter
from commission.stages.thermal_soak.card.coolant import coolant_in
from commission.stages.thermal_soak.card.deeds import begin_deed, limit_deed
from commission.stages.thermal_soak.card.running import Soaking
from commission.stages.thermal_soak.model import SoakVerdict
from commission.stages.thermal_soak.work.soaks import Soaks
from commission.units.worded import worded


class Phase(StrEnum):
    """Where in the soak one is."""

    LOCKED = "locked"
    CAUTIONS = "cautions"
    START = "start"
    SOAKING = "soaking"
    AFTER = "after"


class SoakFlow(Flow):
    """The way through the soak of one build; it can be left and taken up again at any point."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.hand = StageAtHand(book, build_id, book.work(Soaks))
        """The build as last read."""
        super().__init__(self.hand)
        self._judged: tuple[BuildState, SoakVerdict] | None = None
        self.soaking = Soaking(self.hand, lambda: self.verdict)
        self.after = SoakAfter(self.hand)

    @property
    def verdict(self) -> SoakVerdict:
        """The verdict on the soak as it stands."""
        state = self.hand.state
        if self._judged is None or self._judged[0] is not state:
            self._judged = state, self.hand.work.verdict(state)
        return self._judged[1]

    @property
    def phase(self) -> Phase:
        """Where in the soak one is, from the record."""
        missing = self.hand.work.missing_cautions(self.hand.state, When.BEFORE_SOAK)
        if self.hand.judged_before(When.BEFORE_SOAK):
            return Phase.AFTER
        if self.hand.locked:
            return Phase.LOCKED
        if missing:
            return Phase.CAUTIONS
        return Phase.SOAKING if self.hand.state.run(THERMAL_SOAK).running else Phase.START

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        return attempt_title(self.hand.state, THERMAL_SOAK, "thermal soak", after=self.phase is Phase.AFTER)

    def look(self) -> bool:
        """Store what came by itself; return whether there is anything new to show."""
        if self.phase is not Phase.SOAKING:
            self.left()
            return False
        came = self.soaking.live.take()
        if came:
            self.refresh()
        return came

    @property
    def streams(self) -> bool:
        """Whether anything is read by itself."""
        return self.soaking.live.on

    def left(self) -> None:
        """Let go what is read by itself."""
        self.soaking.live.end()

    def question(self) -> Question | None:
        """Return what is asked now."""
        match self.phase:
            case Phase.LOCKED:
                return self.hand.ask_lock()
            case Phase.CAUTIONS:
                return self.hand.ask_caution(When.BEFORE_SOAK)
            case Phase.START:
                return self._start()
            case Phase.SOAKING:
                return self.soaking.question()
            case Phase.AFTER:
                return self.after.question()

    def _start(self) -> Question:
        known = coolant_in(self.hand.state)
        return asked_once(
            self._begin,
            key="soak coolant",
            ask="Duties set as they will stay, load ready? Type the coolant: the soak's clock runs from then.",
            hint=worded("propylene glycol 30 % · water step 0.5 K · a maker's limit: limit cpu 90 degC, sheet"),
            proposal=known,
            placeholder="" if known else "type the coolant on the bottle",
        )

    def _begin(self, text: str) -> Deed:
        word, rest = command(text, ("limit",))
        return limit_deed(self.hand, rest) if word else begin_deed(self.hand, rest)

    def back(self) -> bool:
        """Take back a question about the end, a withdrawal or a file, or a top-up that was not poured."""
        match self.phase:
            case Phase.SOAKING:
                return self.soaking.back()
            case Phase.AFTER:
                return self.after.back()
            case _:
                return False

    def card(self) -> CardContent:
        """Return everything that is known of the soak."""
        phase = self.phase
        shown = phase in (Phase.CAUTIONS, Phase.START, Phase.SOAKING)
        card = self.hand.card(When.BEFORE_SOAK if shown else None, in_full=phase is Phase.CAUTIONS)
        match phase:
            case Phase.LOCKED:
                return card
            case Phase.CAUTIONS:
                return replace(card, step=self.hand.caution_step(When.BEFORE_SOAK))
            case Phase.START:
                return replace(card, step="begin")
            case Phase.SOAKING:
                return self.soaking.card(card)
            case Phase.AFTER:
                return self.after.card(card)
