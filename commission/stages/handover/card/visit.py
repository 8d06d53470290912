"""A service visit: each line is what was done; at its end the machine goes back."""

import re
from collections.abc import Callable

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, command, not_expected
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.bench.joint_look import says_paper
from commission.bench.words_here import NOTE, hear
from commission.stages.fill.at_hand import CoolantAtHand
from commission.stages.fill.typed.amount import AMOUNT_WORDS
from commission.stages.fill.typed.top_up import AS_TYPED, TOP_UP
from commission.stages.handover.card.deeds import (
    back_deed,
    changed_deed,
    done_deed,
    drained_deed,
    kept_of,
    look_missing,
    top_up_deed,
    work_of,
)
from commission.stages.handover.model import HandoverVerdict, ServiceItem
from commission.units.show import say

WORDS = {
    "top-up": "top-up 12 mL: what went in up to the mark",
    "looked": "looked all dry: level and joints were looked at",
    "cleaned": "cleaned: filters and radiators were cleaned",
    "changed": "changed NAME: WHY: a part was changed",
    "drained": "drained 850 mL: coolant was let out",
    **NOTE,
    "end": "end: the machine goes back",
}
"""What a line begins with."""
_AMOUNT = re.compile(r"[0-9.,+\-−]|(?:weighed|marks|about)\b", re.IGNORECASE)
"""How an amount begins."""


class OnVisit:
    """Takes what was done until the machine goes back."""

    def __init__(self, hand: CoolantAtHand) -> None:
        self.hand = hand
        self._ending = False
        self._ways: dict[str, Callable[[str], Deed]] = {
            "looked": lambda note: done_deed(hand, ServiceItem.LOOK, note),
            "cleaned": lambda note: done_deed(hand, ServiceItem.CLEANING, note),
            "changed": lambda text: changed_deed(hand, text),
            "drained": lambda text: drained_deed(hand, text),
            "note": hand.note_deed,
            "end": lambda _: self._end_deed(),
        }

    @property
    def verdict(self) -> HandoverVerdict:
        """Whether the machine may go back."""
        return work_of(self.hand).verdict(self.hand.state)

    def question(self) -> Question:
        """Return what is asked now."""
        missing = look_missing(self.hand) if self._ending else ""
        if missing:
            return self._really_end(missing)
        ready = self.verdict.outcome is Outcome.PASS
        onward = bool(self.hand.onward_deeds())
        ask = "Type what was done, a line each; end hands the machine back."
        if not ready:
            ask = say(self.verdict.reasons[0])
        return asked_once(
            self.deed,
            key=f"visit {ready} {onward}",
            ask=ask,
            hint="looked · cleaned · changed NAME: why · drained 850 mL · undo · end",
            proposal=None if ready or not onward else "next",
            placeholder="" if not ready and onward else TOP_UP,
        )

    def back(self) -> bool:
        """Leave the question whether to end without a look; return whether it was asked."""
        had, self._ending = self._ending, False
        return had

    def _ask_end(self) -> None:
        self._ending = True

    def _end_deed(self) -> Deed:
        """Return what ``end`` does: the machine goes back, or it is asked once where a look is due."""
        missing = look_missing(self.hand)
        return Deed(told=f"{missing}: end it all the same?", do=self._ask_end) if missing else back_deed(self.hand)

    def _really_end(self, missing: str) -> Question:
        return asked_once(
            self._at_end,
            key="visit ends without a look",
            ask=f"{missing}. Hand it back?",
            hint="looked and what was seen · yes · Esc: on with the visit",
            placeholder="looked all dry",
        )

    def _at_end(self, text: str) -> Deed:
        word = text.strip().casefold()
        if word in ("no", "n"):
            return Deed(told="on with the visit", do=lambda: self._after(Deed(told="")))
        made = back_deed(self.hand) if word in ("yes", "y", "end") else self.deed(text)
        return replace(made, do=lambda: self._after(made))

    def _after(self, made: Deed) -> str:
        """Do what was answered; the question is over once that is done."""
        done = made.done()
        self._ending = False
        return done

    def deed(self, text: str) -> Deed:
        """Return what a line does; raises where it cannot be understood, or may not be done now."""
        text = AS_TYPED.sub("top-up", text.strip(), count=1)
        onward = self.hand.onward_deeds()
        word, rest = command(text, {**WORDS, "next": "next: go on"} if onward else WORDS)
        if not word and says_paper(text):
            return done_deed(self.hand, ServiceItem.LOOK, rest)
        if not word and not _AMOUNT.match(text):
            hear(AMOUNT_WORDS)
            return not_expected(text, "top-up and how much, looked, cleaned, changed, drained, or end")
        if word == "next":
            return onward[0][1]
        return self._ways[word](rest) if word in self._ways else top_up_deed(self.hand, rest)

    def card(self, card: CardContent) -> CardContent:
        """Return the card with what still holds the machine up."""
        held_up = self.verdict.reasons[1:] if self.verdict.outcome is not Outcome.PASS else ()
        return replace(card, step=f"visit {len(kept_of(self.hand).visits)}", reasons=tuple(map(say, held_up)))
