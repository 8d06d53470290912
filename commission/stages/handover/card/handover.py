"""The handover, one thing to do at a time: spare parts, life of the coolant, owner's cautions, to whom; then visits."""

from collections.abc import Callable
from enum import StrEnum
from typing import Unpack

from commission.base.frozen import replace
from commission.bench.ask import Flow, Question, asked_once, command
from commission.bench.card import CardContent, Figure
from commission.bench.deed import Deed
from commission.bench.doubt import Doubt
from commission.bench.prompt import AskedSo
from commission.bench.words_here import NOTE
from commission.procedure.model import When
from commission.procedure.stage_ids import HANDOVER
from commission.record.logbook import Logbook
from commission.stages.fill.at_hand import CoolantAtHand
from commission.stages.fill.typed.life import LIFE
from commission.stages.handover.card.after import HandoverAfter
from commission.stages.handover.card.deeds import (
    at_hand,
    handed_deed,
    kept_of,
    life_deed,
    look_missing,
    spares_deed,
    work_of,
)
from commission.stages.handover.card.visit import OnVisit
from commission.stages.handover.model import OWN_USE
from commission.stages.handover.rows.figures import LEFT_OUT, figures_of, sentences_of
from commission.stages.handover.state import visiting
from commission.stages.handover.typed.spares import SPARES, refuse_word
from commission.stages.handover.work.handovers import bottles_in
from commission.units.show import say

_WORDS = {
    **NOTE,
    "spares": "spares two seals, a fan; bottle NAME: what goes along",
    "life": "life 24 months: how long the coolant may stay in",
}
"""What may be typed in place of an answer."""


class Phase(StrEnum):
    """Where in the handover one is."""

    LOCKED = "locked"
    BLOCKED = "blocked"
    SPARES = "spares"
    LIFE = "life"
    CAUTIONS = "cautions"
    HAND = "hand over"
    AFTER = "after"
    SERVICE_CAUTIONS = "service cautions"
    VISIT = "visit"


_CAUTIONS = {Phase.CAUTIONS: When.FOR_THE_OWNER, Phase.SERVICE_CAUTIONS: When.BEFORE_SERVICE}


class HandoverFlow(Flow):
    """The way through handover and visits of one build; it can be left and taken up again at any point."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.hand = at_hand(book, build_id)
        """The build as last read."""
        super().__init__(self.hand)
        self.after = HandoverAfter(self.hand)
        self.visit = OnVisit(self.hand)
        self._doubt = Doubt()

    @property
    def phase(self) -> Phase:
        """Where in the handover one is, from the record."""
        hand, work = self.hand, work_of(self.hand)
        if visiting(hand.state) is not None:
            unread = work.missing_cautions(hand.state, When.BEFORE_SERVICE)
            return Phase.SERVICE_CAUTIONS if unread else Phase.VISIT
        if hand.judged_before(When.FOR_THE_OWNER):
            return Phase.AFTER
        if hand.locked:
            return Phase.LOCKED
        if hand.state.open_findings:
            return Phase.BLOCKED
        if kept_of(hand).spares is None:
            return Phase.SPARES
        if kept_of(hand).life is None and work.life(hand.state) is None:
            return Phase.LIFE
        return Phase.CAUTIONS if work.missing_cautions(hand.state, When.FOR_THE_OWNER) else Phase.HAND

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        what = "handover" if visiting(self.hand.state) is None else "service visit"
        return f"{self.hand.state.name} · {what}"

    def question(self) -> Question | None:
        """Return what is asked now."""
        phase = self.phase
        match phase:
            case Phase.LOCKED:
                return self.hand.ask_lock()
            case Phase.BLOCKED:
                return self._blocked()
            case Phase.SPARES:
                return self._spares()
            case Phase.LIFE:
                return self._life()
            case Phase.CAUTIONS | Phase.SERVICE_CAUTIONS:
                return self.hand.ask_caution(_CAUTIONS[phase])
            case Phase.HAND:
                return self._doubt.question() or self._hand_over()
            case Phase.AFTER:
                return self.after.question()
            case Phase.VISIT:
                return self.visit.question()

    def back(self) -> bool:
        """Leave the question whether to go without a look; return whether it was asked."""
        return self._doubt.back() or self.visit.back()

    def _blocked(self) -> Question:
        first = say(work_of(self.hand).verdict(self.hand.state).reasons[0])
        return self._taking(None, key="blocked", ask=first, hint="note and a text · Esc: the builds")

    def _spares(self) -> Question:
        bottles = bottles_in(self.hand.state)
        return self._taking(
            spares_deed,
            key="spares",
            ask="Which spare parts and which bottle for topping up go along? None is an answer.",
            hint=f"commas between; last: bottle and its name · in the loop: {', '.join(bottles) or 'none known'}",
            placeholder=f"{SPARES}; bottle {bottles[0]}" if bottles else SPARES,
        )

    def _life(self) -> Question:
        return self._taking(
            life_deed,
            key="coolant life",
            ask="How long may the coolant stay in, by its bottle?",
            hint=f"such as {LIFE}; none where the bottle states none",
            proposal="none",
        )

    def _hand_over(self) -> Question:
        last, run = kept_of(self.hand).last, self.hand.state.judged_run(HANDOVER)
        same = last is not None and run is not None and run.stale_by is not None  # else it is there already
        return self._taking(
            lambda hand, text: self._doubt.about(handed_deed(hand, text), look_missing(hand)),
            key="hand over",
            ask="To whom is it handed over? Type a name, or own use.",
            hint="such as Mara Lind, or Mara Lind on 2026-03-14 · spares and life change an answer",
            proposal=last.to if last is not None and same else None,
            placeholder="" if same else OWN_USE,
            words=("a name: to whom it is handed over; on and a date behind it", *_WORDS.values()),
        )

    def _taking(self, read: Callable[[CoolantAtHand, str], Deed] | None, **prompt: Unpack[AskedSo]) -> Question:
        """Return a question that takes a note, and other answers to what was asked before."""

        def deed(text: str) -> Deed:
            word, rest = command(text, _WORDS)
            match word:
                case "spares":
                    return spares_deed(self.hand, rest)
                case "life":
                    return life_deed(self.hand, rest)
                case "" if read is not None:
                    refuse_word(text)
                    return read(self.hand, text)
                case _:
                    return self.hand.note_deed(rest)

        return asked_once(deed, **prompt)

    def _figures(self, phase: Phase) -> tuple[Figure, ...]:
        figures = figures_of(self.hand.book, self.hand.stage, self.hand.state)
        if phase not in (Phase.AFTER, Phase.VISIT):
            return figures
        return tuple(figure for figure in figures if figure.label not in LEFT_OUT)

    def card(self) -> CardContent:
        """Return everything that is known of the handover."""
        phase = self.phase
        card = self.hand.card(_CAUTIONS.get(phase), in_full=phase in _CAUTIONS)
        card = replace(
            card,
            figures=self._figures(phase),
            remarks=sentences_of(self.hand.book, self.hand.stage, self.hand.state)[1 if phase is Phase.AFTER else 0 :],
        )
        match phase:
            case Phase.CAUTIONS | Phase.SERVICE_CAUTIONS:
                return replace(card, step=self.hand.caution_step(_CAUTIONS[phase]))
            case Phase.AFTER:
                return self.after.card(card)
            case Phase.VISIT:
                return self.visit.card(card)
            case Phase.LOCKED:
                return card
            case Phase.HAND:
                return self.hand.shown_at(replace(card, step=str(phase)), When.HANDING_OVER)
            case _:
                return replace(card, step=str(phase))
