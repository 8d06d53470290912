"""While the loop is bled: one line a cycle, the verdict so far, what is missing, and the end."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, command, listed, one_of
from commission.bench.asked_back import AskedBack, Ending
from commission.bench.card import CardContent, VerdictLine
from commission.bench.deed import Deed
from commission.bench.figures import duration
from commission.bench.last_entry import LastEntry, latest
from commission.bench.words_here import NOTE, refuse_renamed
from commission.procedure.stage_ids import BLEED
from commission.record.locks import refuse_pump
from commission.stages.bleed.card.squeeze import SqueezeForm
from commission.stages.bleed.model import BleedVerdict
from commission.stages.bleed.rows.figures import (
    cycle_amount,
    cycle_rows,
    figures_of,
    missing_of,
    reasons_of,
    squeeze_rows,
)
from commission.stages.bleed.state import BleedState
from commission.stages.bleed.typed.cycle_deed import TypedCycle, cycle_deed, doubt_of, ran_for, room_text, typed_cycle
from commission.stages.bleed.work import Bleeds
from commission.stages.fill.typed.liquid import LIQUID, liquid_deed
from commission.stages.fill.typed.withdrawable import moved_in
from commission.units.parse import parse_or_zero
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.stages.fill.at_hand import CoolantAtHand

WORDS = {
    **LIQUID,
    "bottle": "bottle NAME: the bottle of the top-ups",
    "squeeze": "squeeze: looks for trapped air, for information",
    "done": "done: the step is done",
    "undo": "undo: withdraws the last entry",
    **NOTE,
    "end": "end: the bleed is ended and judged",
}
"""What may be typed in place of a cycle."""


class Bleeding:
    """Takes cycles and commands until the bleed is ended."""

    def __init__(self, hand: "CoolantAtHand", verdict: "Callable[[], BleedVerdict]") -> None:
        self.hand = hand
        self._verdict = verdict
        ending = Ending(
            what="bleed",
            missing=self._missing,
            hint="Without a pass what comes next stays locked. Esc goes on with the bleed.",
            close=self._close,
        )
        self.asking = AskedBack(hand, self._last, ending)
        self.form: SqueezeForm | None = None
        self.doubted: TypedCycle | None = None
        self.doubt = ""
        """A cycle that was typed and not stored yet, for the clock contradicts it; and how."""

    def back(self) -> bool:
        """Leave the form, or take back a question about the end or a withdrawal."""
        if self.form is not None:
            if not self.form.back():
                self.form = None
            return True
        had, self.doubted = self.doubted is not None, None
        return had or self.asking.back()

    @property
    def verdict(self) -> BleedVerdict:
        """The verdict so far."""
        return self._verdict()

    # --- questions -------------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now."""
        if self.form is not None and self.form.done:
            self.form = None
        if self.form is not None:
            return self.form.question()
        if self.doubted is not None:
            return self._how_long(self.doubted)
        return self.asking.question() or self._line()

    def _line(self) -> Question:
        passed = self.verdict.outcome is Outcome.PASS
        ask = "Run the pump, stop, look, listen, top up to the mark; then type the cycle."
        if passed:
            ask = "Clean cycles enough: Enter ends the bleed; or type another cycle."
        elif self.hand.state.of(BleedState).cycles:
            ask = "Type the next cycle: minutes, top-up, and what you saw and heard."
        return asked_once(
            self.deed,
            key="cycle",
            ask=ask,
            hint=self._hint(),
            proposal="end" if passed else None,
            placeholder="" if passed else self._example(),
        )

    def _example(self) -> str:
        run = duration(self.hand.stage.limit("cycle_s"))
        return worded(f"{run} 12 mL upright few gurgling")

    def _hint(self) -> str:
        return worded(
            "upright, left ... · none, few, many · quiet, gurgling, rattling · breath 2 mm · fall 3 mm · squeeze · "
            "spill · undo · end"
        )

    # --- what a line does ------------------------------------------------------------------------------------

    def deed(self, text: str) -> Deed:
        """Return what a line does.

        Raises
        ------
        CommissionError
            If it cannot be understood, or may not be done now.
        """
        hand = self.hand
        refuse_renamed(text, {"mark": "level"})
        word, rest = command(text, WORDS)
        match word:
            case "":
                refuse_pump(hand.state)
                return self._cycle(rest)
            case "bottle":
                return self._bottle(rest)
            case "squeeze":
                return Deed(told="squeeze to look for trapped air, for information", do=self._squeeze)
            case "done":
                return self._done(rest)
            case _:
                return liquid_deed(hand, word, rest, stage=BLEED) or self.asking.deed(word, rest)

    def _cycle(self, text: str) -> Deed:
        """Return what a typed cycle does; where the clock has no room for its minutes, that is asked first."""
        typed = typed_cycle(self.hand, text)
        doubt = doubt_of(self.hand, typed)
        if not doubt:
            return cycle_deed(self.hand, typed)
        return Deed(told=f"{typed.told}: how long did it run?", do=lambda: self._doubt(typed, doubt))

    def _doubt(self, typed: TypedCycle, doubt: str) -> None:
        self.doubted, self.doubt = typed, doubt

    def _how_long(self, typed: TypedCycle) -> Question:
        """Ask how long the pump ran in a cycle that the clock contradicts."""

        def deed(text: str) -> Deed:
            if text.strip().casefold() in ("keep", "as typed"):
                kept = cycle_deed(self.hand, typed)
            else:
                ran = parse_or_zero(text, Quantity.DURATION, bare_zero=True)
                kept = cycle_deed(self.hand, ran_for(typed, ran))
            return Deed(told=kept.told, do=lambda: self._sure(kept))

        return asked_once(
            deed,
            key="how long",
            ask=f"{self.doubt}. How long did the pump run?",
            hint="keep: as typed, though the verdict counts only what the clock has room for · Esc: type it again",
            proposal=room_text(self.hand),
        )

    def _sure(self, deed: Deed) -> str:
        done = deed.done()
        self.doubted = None
        return done

    def _bottle(self, text: str) -> Deed:
        names = {one.bottle_id: one.name for one in self.hand.bottles}
        if not text:
            raise InputError(f"type bottle and a name: {listed(list(names.values()))}; F9 describes another")
        key = one_of(text, names, "bottle")
        return Deed(told=f"top up from {names[key]}", do=lambda: self.hand.take_bottle(key))

    def _squeeze(self) -> None:
        self.form = SqueezeForm(self.hand)

    def _done(self, note: str) -> Deed:
        steps = self.hand.work.missing_steps(self.hand.state)
        if not steps:
            raise InputError("every step is done; type a cycle, or end")
        return self.hand.step_deed(steps[0], note)

    # --- withdrawing -----------------------------------------------------------------------------------------

    def _last(self) -> LastEntry:
        """Return the cycle, movement or level that was recorded last in this bleed."""
        cycles = [
            LastEntry(seq=timed.seq, what=f"cycle of {cycle_amount(timed.cycle)}")
            for timed in self.hand.state.of(BleedState).cycles
        ]
        # The top-up of a cycle has the cycle's number: of the two the cycle is told, which comes first.
        return latest(
            [*cycles, *moved_in(self.hand, BLEED)],
            "no cycle was recorded in this bleed; there is nothing to withdraw",
        )

    # --- the end ---------------------------------------------------------------------------------------------

    def _missing(self) -> str:
        if self.verdict.outcome is Outcome.PASS:
            return ""
        return (
            f"Still missing: {missing_of(self.verdict) or 'a pass'}. Enter ends the bleed all the same and judges it."
        )

    def _close(self) -> Outcome:
        return self.hand.book.work(Bleeds).close(self.hand.build_id).outcome

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with what came out, what is to come, and what the rule still needs."""
        if self.form is not None and not self.form.done:
            return replace(card, step="squeeze", figures=self.form.figures())
        hand, verdict = self.hand, self.verdict
        if not hand.state.of(BleedState).cycles:
            return replace(
                card,
                step="cycle 1",
                figures=figures_of(verdict)[2:],
                missing=missing_of(verdict),
                reasons=squeeze_rows(hand.state.of(BleedState).squeezes),
            )
        reasons = reasons_of(verdict, short=True)
        return replace(
            card,
            step=f"cycle {len(hand.state.of(BleedState).cycles) + 1}",
            figures=figures_of(verdict),
            verdict=VerdictLine(word=verdict.outcome, text=reasons[0]),
            missing=missing_of(verdict),
            reasons=(*reasons[1:], *squeeze_rows(hand.state.of(BleedState).squeezes), *cycle_rows(hand.state)),
            plot=verdict.picture is not None,
        )
