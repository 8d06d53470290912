"""After the handover: who has the machine, what is due, and a visit."""

from commission.base.frozen import replace
from commission.bench.ask import Question, asked_once, command, not_expected
from commission.bench.attempts import judged_line, stale_since
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.procedure.stage_ids import HANDOVER
from commission.record.build_state import StageRun
from commission.stages.fill.at_hand import CoolantAtHand
from commission.stages.handover.card.deeds import kept_of, visit_deed, work_of
from commission.stages.handover.entries import HandedOver
from commission.stages.handover.rows.figures import sentences_of
from commission.units.show import say

WORDS = {
    "visit": "visit first look: begins a service visit, with its reason",
    "again": "again: hands it over again",
    "handover": "",
    "next": "next: go on",
    "go": "",
}
"""What may be typed."""


class HandoverAfter:
    """Shows the last handover and what is due."""

    def __init__(self, hand: CoolantAtHand) -> None:
        self.hand = hand

    @property
    def judged(self) -> tuple[StageRun, HandedOver]:
        """The last handover, with the entry that records it."""
        run, last = self.hand.state.judged_run(HANDOVER), kept_of(self.hand).last
        assert run is not None  # the phase is only entered with one
        assert last is not None
        return run, last

    def question(self) -> Question:
        """Return what is asked now."""
        run, last = self.judged
        hint = "visit and why: a service visit · again: another name"
        proposal: str | None = None
        if self.hand.locked:
            proposal = "next" if self.hand.onward_deeds() else None
            ask = f"{say(work_of(self.hand).verdict(self.hand.state).reasons[0])} Or begin a visit."
        elif run.stale_by is not None:
            ask, proposal = "It was changed since it was handed over. Enter hands it over again.", "again"
        else:
            told = sentences_of(self.hand.book, self.hand.stage, self.hand.state)
            ask = f"{last.to} has it. {(*told, 'For a service visit type visit and why.')[0]}"
        return asked_once(
            self._deed,
            key=f"after handover {proposal}",
            ask=ask,
            hint=hint,
            proposal=proposal,
            placeholder="" if proposal else "visit first look",
        )

    def _deed(self, text: str) -> Deed:
        word, rest = command(text, WORDS)
        match word:
            case "visit":
                return visit_deed(self.hand, rest)
            case "again" | "handover":
                return self.hand.again_deed()
            case "next" | "go" if self.hand.onward_deeds():
                return self.hand.onward_deeds()[0][1]
            case _:
                return not_expected(text, "visit and why")

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the handover."""
        run, last = self.judged
        reasons = tuple(map(say, last.verdict.reasons))
        return replace(
            card,
            step=f"handover {run.attempt}",
            verdict=judged_line(run, last.verdict.outcome, reasons[0]),
            reasons=(*stale_since(run), *reasons[1:]),
        )
