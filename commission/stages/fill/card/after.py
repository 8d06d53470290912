"""After the fill: the verdict, the caution about what is left over, and on to bleeding or back to pouring."""

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_choice, with_reader
from commission.bench.attempts import advice, closed_row, ended_by, judged_line, stale_since
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.bench.words_here import refuse_renamed
from commission.procedure.model import When
from commission.procedure.stage_ids import BLEED
from commission.record.build_state import StageRun
from commission.stages.fill.entries import FillClosed
from commission.stages.fill.rows.bottle import bottles_left
from commission.stages.fill.rows.figures import figures_of, notices_of, reasons_of

if TYPE_CHECKING:
    from commission.stages.fill.at_hand import CoolantAtHand

_TOO_LITTLE_AIR = frozenset({"liquid_full", "pressure_beyond_weakest_part"})
"""Reasons of a fill after which coolant is drawn off and none is poured."""


class FillAfter:
    """Shows what the last fill proved."""

    def __init__(self, hand: "CoolantAtHand") -> None:
        self.hand = hand

    @property
    def judged(self) -> tuple[StageRun, FillClosed]:
        """The last attempt that was ended and judged, with the entry that did."""
        return ended_by(self.hand.state, self.hand.work.stage_id, FillClosed)

    @property
    def caution_open(self) -> bool:
        """Whether the caution after the verdict is unanswered."""
        return bool(self.hand.work.missing_cautions(self.hand.state, When.AFTER_VERDICT))

    def question(self) -> Question:
        """Return what is asked now."""
        if self.caution_open and not self.hand.locked:
            return self.hand.ask_caution(When.AFTER_VERDICT)
        run, closed = self.judged
        passed = closed.verdict.outcome is Outcome.PASS and run.stale_by is None
        asked = self._on() if passed else self._again(run, closed)

        def deed(text: str) -> Deed:
            refuse_renamed(text, {"refill": "again", "pour": "again"})
            return asked.deed(text)

        return with_reader(asked.prompt, deed)

    def _on(self) -> Question:
        return asked_choice(
            (("bleed", "next"), Deed(told="go to bleeding", go=BLEED)),
            (("again",), Deed(told="open the fill again: cautions first", do=self.hand.try_again)),
            key="after fill",
            ask="Passed. Next: bleed.",
            hint="again opens the fill again",
            proposal=BLEED,
        )

    def _again(self, run: StageRun, closed: FillClosed) -> Question:
        return asked_choice(
            (("again", "yes"), self.hand.again_deed()),
            key="after fill",
            ask=f"{_advice(run, closed)} Enter goes on, as attempt {run.attempt + 1}.",
            hint="What is in stays counted. Esc: the builds",
            proposal="again",
        )

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the verdict, its reasons and its figures."""
        hand = self.hand
        run, closed = self.judged
        verdict = closed.verdict
        reasons = reasons_of(verdict)
        return replace(
            card,
            step=f"attempt {run.attempt}",
            verdict=judged_line(run, verdict.outcome, reasons[0]),
            notices=notices_of(hand.headspace),
            figures=(
                *figures_of(verdict, hand.headspace, hand.stage.limit("hot_k")),
                *closed_row(run),
                *bottles_left(hand, hand.bottles),
            ),
            reasons=(*stale_since(run, reasons[0]), *reasons[1:]),
            plot=True,
        )


def _advice(run: StageRun, closed: FillClosed) -> str:
    codes = {phrase.code for phrase in closed.verdict.reasons} if run.stale_by is None else set()
    if "more_than_fits" in codes:
        return "More went in than fits: look for a leak before anything else."
    if codes & _TOO_LITTLE_AIR:
        return "Too little air above the coolant: draw some off, then read the level again."
    if "steps_open" in codes:
        return "Not a pass: steps of the fill are not done yet. Do them in the next attempt."
    return advice(
        run,
        stale="What is in the loop was changed since this was judged.",
        fail="Too much is missing to run the pump.",
        undecided="Not a pass: the totals leave too much open.",
        unusable="These amounts cannot be used: fix the cause first.",
    )
