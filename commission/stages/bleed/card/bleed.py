"""The bleed, one thing to do at a time: cautions, the start, cycles, verdict."""

from enum import StrEnum

from commission.base.frozen import replace
from commission.bench.ask import Flow, Question, asked_choice
from commission.bench.attempts import attempt_title
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.procedure.model import When
from commission.procedure.stage_ids import BLEED, FILL
from commission.record.locks import pump_lock
from commission.record.logbook import Logbook
from commission.stages.bleed.card.after import BleedAfter
from commission.stages.bleed.card.running import Bleeding
from commission.stages.bleed.model import BleedVerdict
from commission.stages.bleed.rows.figures import figures_of
from commission.stages.bleed.work import Bleeds
from commission.stages.fill.at_hand import CoolantAtHand
from commission.stages.fill.card.pump_supply import ask_pump_supply
from commission.stages.fill.work.fills import Fills


class Phase(StrEnum):
    """Where in the bleed one is."""

    LOCKED = "locked"
    PUMP_SUPPLY = "pump supply"
    DRY_PUMP = "dry pump"
    CAUTIONS = "cautions"
    START = "start"
    BLEEDING = "bleeding"
    AFTER = "after"


class BleedFlow(Flow):
    """The way through the bleed of one build; it can be left and taken up again at any point."""

    wet_is_a_leak = True

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.hand = CoolantAtHand(book, build_id, book.work(Bleeds))
        """The build as last read, and what is in hand."""
        super().__init__(self.hand)
        self.bleeding = Bleeding(self.hand, lambda: self.verdict)
        self.after = BleedAfter(self.hand)

    @property
    def verdict(self) -> BleedVerdict:
        """The verdict on the bleed as it stands."""
        return self.hand.book.work(Bleeds).verdict(self.hand.state)

    @property
    def phase(self) -> Phase:
        """Where in the bleed one is, from the record."""
        state = self.hand.state
        missing = self.hand.work.missing_cautions(state, When.BEFORE_PUMP)
        if self.hand.judged_before(When.BEFORE_PUMP):
            return Phase.AFTER
        if self.hand.locked:
            return Phase.LOCKED
        if state.run(BLEED).running:
            return Phase.CAUTIONS if missing else Phase.BLEEDING
        if pump_lock(state) is not None:
            return Phase.PUMP_SUPPLY
        if self._dry_pump_open():
            return Phase.DRY_PUMP
        return Phase.CAUTIONS if missing else Phase.START

    def _dry_pump_open(self) -> bool:
        """Return whether a caution of the fill about its pump was never answered for what is in the loop."""
        judged = self.hand.state.judged_run(FILL)
        answered = judged.acknowledged | judged.printed if judged is not None else frozenset()
        return bool(set(self.hand.book.work(Fills).missing_cautions(self.hand.state, When.BEFORE_PUMP)) - answered)

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        return attempt_title(self.hand.state, BLEED, "bleed", after=self.phase is Phase.AFTER)

    def question(self) -> Question | None:
        """Return what is asked now."""
        match self.phase:
            case Phase.LOCKED:
                return self.hand.ask_lock()
            case Phase.PUMP_SUPPLY:
                return ask_pump_supply(self.hand)
            case Phase.DRY_PUMP:
                return self.hand.ask_caution(When.BEFORE_PUMP, work=self.hand.book.work(Fills))
            case Phase.CAUTIONS:
                return self.hand.ask_caution(When.BEFORE_PUMP)
            case Phase.START:
                return self._start()
            case Phase.BLEEDING:
                return self.bleeding.question()
            case Phase.AFTER:
                return self.after.question()

    def _start(self) -> Question:
        # typed: Enter alone may be pressed without a look, and a pump that runs dry is ruined
        return asked_choice(
            (("covered", "inlet covered"), Deed(told="inlet covered, level at the mark", do=self._begin)),
            key="begin",
            ask="Inlet covered, level at the mark? Then type covered: the bleed begins, and its clock runs.",
            hint="Cycles of equal length in one position tell best what is still to come.",
            placeholder="covered",
        )

    def _begin(self) -> str:
        self.hand.book.work(Bleeds).start(self.hand.build_id)
        self.hand.again = False
        return "the bleed has begun: the pump may run"

    def back(self) -> bool:
        """Leave a half-answered form."""
        return self.bleeding.back() if self.phase is Phase.BLEEDING else False

    def card(self) -> CardContent:
        """Return everything that is known of the bleed."""
        phase = self.phase
        cautions, in_full = self._cautions(phase)
        fill = self.hand.book.work(Fills) if phase is Phase.DRY_PUMP else None
        card = self.hand.card(cautions, in_full=in_full, work=fill)
        match phase:
            case Phase.LOCKED | Phase.PUMP_SUPPLY:
                return card
            case Phase.DRY_PUMP | Phase.CAUTIONS | Phase.START:
                shown = (When.BLEEDING,) if phase is Phase.START else ()
                return self.hand.shown_at(self._before(card, phase), *shown)
            case Phase.BLEEDING:
                moment = When.BLEEDING if self.bleeding.form is None else When.SQUEEZING
                return self.hand.shown_at(self.bleeding.card(card), moment)
            case Phase.AFTER:
                return self.after.card(card)

    def _before(self, card: CardContent, phase: Phase) -> CardContent:
        step = {Phase.CAUTIONS: self.hand.caution_step(When.BEFORE_PUMP), Phase.DRY_PUMP: "pump"}.get(phase, "begin")
        rows = figures_of(replace(self.verdict, cycles=0, kept=0, covered_s=0.0))[2:]
        return replace(card, step=step, figures=rows)

    def _cautions(self, phase: Phase) -> tuple[When | None, bool]:
        match phase:
            case Phase.LOCKED | Phase.PUMP_SUPPLY | Phase.AFTER:
                return None, False
            case _:
                return When.BEFORE_PUMP, phase in (Phase.DRY_PUMP, Phase.CAUTIONS)
