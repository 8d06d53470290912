"""The fill, one thing to do at a time: cautions, bottle, amounts and steps, verdict."""

from enum import StrEnum

from commission.base.frozen import replace
from commission.bench.ask import Flow, Question, asked_once, command, one_word, with_reader
from commission.bench.attempts import attempt_title
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.procedure.model import When
from commission.procedure.stage_ids import FILL, HOLD
from commission.record.logbook import Logbook
from commission.record.stage_work import hold_runs
from commission.stages.fill.at_hand import CoolantAtHand
from commission.stages.fill.card.after import FillAfter
from commission.stages.fill.card.pouring import Pouring
from commission.stages.fill.card.pump_supply import ask_pump_supply
from commission.stages.fill.rows.figures import expected_rows, figures_of
from commission.stages.fill.typed.moves import out_deed
from commission.stages.fill.work.fills import Fills
from commission.units.worded import worded


class Phase(StrEnum):
    """Where in the fill one is."""

    LOCKED = "locked"
    PRESSURE = "pressure"
    PUMP_SUPPLY = "pump supply"
    CAUTIONS = "cautions"
    POURING = "pouring"
    AFTER = "after"


class FillFlow(Flow):
    """The way through the fill of one build; it can be left and taken up again at any point."""

    wet_is_a_leak = True

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.hand = CoolantAtHand(book, build_id, book.work(Fills))
        """The build as last read, and what is in hand."""
        super().__init__(self.hand)
        self.pouring = Pouring(self.hand)
        self.after = FillAfter(self.hand)

    @property
    def phase(self) -> Phase:
        """Where in the fill one is, from the record."""
        state = self.hand.state
        if self.hand.judged_before(When.BEFORE_POURING):
            return Phase.AFTER
        if self.hand.locked:
            return Phase.LOCKED
        held = state.held
        if hold_runs(state) or (held is not None and not held.let_down):
            return Phase.PRESSURE
        if state.pump_supply is None:
            return Phase.PUMP_SUPPLY
        return Phase.CAUTIONS if self.hand.work.missing_cautions(state, When.BEFORE_POURING) else Phase.POURING

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        return attempt_title(self.hand.state, FILL, "fill", after=self.phase is Phase.AFTER)

    def question(self) -> Question | None:
        """Return what is asked now."""
        match self.phase:
            case Phase.LOCKED:
                return self._locked()
            case Phase.PRESSURE:
                return self._let_down()
            case Phase.PUMP_SUPPLY:
                return ask_pump_supply(self.hand)
            case Phase.CAUTIONS:
                return self.hand.ask_caution(When.BEFORE_POURING)
            case Phase.POURING:
                return self.pouring.question()
            case Phase.AFTER:
                return self.after.question()

    def _locked(self) -> Question:
        """Ask about the lock; what comes out, as after a leak, waits for nothing."""
        lock = self.hand.ask_lock()
        if not self.hand.coolant.moves:
            return lock

        def deed(text: str) -> Deed:
            word, rest = command(text, ("drain", "draw"))
            return out_deed(self.hand, word, rest) if word else lock.deed(text)

        reason = " · or: override and the reason, which every report tells" if lock.prompt.hint else ""
        hint = worded(f"drain 500 mL{reason}")
        return with_reader(replace(lock.prompt, hint=hint), deed)

    @staticmethod
    def _let_down() -> Question:
        word = one_word("go", "yes")

        def deed(text: str) -> Deed:
            word(text)
            return Deed(told="go to the pressure hold, and type there what the gauge shows", go=HOLD)

        return asked_once(
            deed,
            key="under pressure",
            ask="Loop still under test pressure. Release it to 0 before you open anything.",
            hint="Open the valve slowly, eyes away from it. Enter goes to the hold, where it is recorded.",
            proposal="go",
        )

    def back(self) -> bool:
        """Leave a half-answered form."""
        return self.pouring.back() if self.phase is Phase.POURING else False

    def card(self) -> CardContent:
        """Return everything that is known of the fill."""
        phase = self.phase
        cautions, in_full = self._cautions(phase)
        card = self.hand.card(cautions, in_full=in_full)
        match phase:
            case Phase.LOCKED | Phase.PRESSURE | Phase.PUMP_SUPPLY:
                return card
            case Phase.CAUTIONS:
                return self._before(card)
            case Phase.POURING:
                return self.hand.shown_at(self.pouring.card(card), *self.pouring.moments)
            case Phase.AFTER:
                return self.after.card(card)

    def _before(self, card: CardContent) -> CardContent:
        verdict = self.hand.fill_verdict
        known = expected_rows(verdict)
        rows = figures_of(verdict, None, 0.0) if known and self.hand.coolant.moves else known
        return replace(card, step=self.hand.caution_step(When.BEFORE_POURING), figures=rows)

    def _cautions(self, phase: Phase) -> tuple[When | None, bool]:
        match phase:
            case Phase.LOCKED | Phase.PRESSURE | Phase.PUMP_SUPPLY:
                return None, False
            case Phase.CAUTIONS:
                return When.BEFORE_POURING, True
            case Phase.POURING if self.pouring.pump_asked:
                return When.BEFORE_PUMP, True
            case Phase.POURING:
                return When.BEFORE_POURING, False
            case Phase.AFTER:
                open_now = self.after.caution_open and not self.hand.locked
                return (When.AFTER_VERDICT, True) if open_now else (None, False)
