"""Where the ladder does not go on by itself: a rung that is locked, and the end that judges it."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, command, one_word
from commission.bench.card import CardContent, VerdictLine
from commission.bench.deed import Deed
from commission.procedure.stage_ids import BLEED, FAN_HEADERS, FILL, HOLD
from commission.record.machine.rungs import NEVER_OVERRIDDEN, Rung
from commission.stages.first_power.at_hand import NUMBERS, WORDS
from commission.stages.first_power.rows.ladder import rung_figures
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand

_STAGE_OF_LOCK = {"hold_not_passed": HOLD, "not_filled": FILL, "bleed_failed": BLEED, "pump_can_stop": FAN_HEADERS}
"""Which stage opens a lock that no rung below can."""
_NEVER = "no reason opens this lock: under power a dry or leaking loop costs the pump, or the machine"


class LockedRung:
    """Says why the rung whose turn it is may not be climbed, and where to go."""

    def __init__(self, hand: "PowerAtHand") -> None:
        self.hand = hand

    def question(self) -> Question:
        """Return what is asked now."""
        rung, why = self.hand.at or Rung.PUMP, self.hand.barred
        assert why is not None  # the phase looked
        never = " No reason opens this lock." if why.code in NEVER_OVERRIDDEN else ""
        stage = _STAGE_OF_LOCK.get(why.code, "")
        title = next((one.stage.title.lower() for one in self.hand.rungs if one.stage.id == stage), "")
        where = f" Enter goes to the {title}." if title else ""
        return asked_once(
            lambda text: self._deed(text, stage, title),
            key="locked",
            ask=f'{NUMBERS[rung]}, "{rung}", is locked. {say(why)}{never}{where}',
            hint=f"cables and supply may be measured meanwhile: cables · supply · note{self.hand.end_hint}",
            proposal="go",
        )

    def _deed(self, text: str, stage: str, title: str) -> Deed:
        if command(text, ("override",))[0]:
            raise InputError(_NEVER)
        found = self.hand.aside(text)
        if found is not None:
            return found
        one_word("go", "yes")(text)

        def do() -> None:
            self.hand.chosen = None

        return Deed(told=f"go to {title}" if title else "go back to an earlier step", do=do, go=stage)

    def card(self, card: CardContent) -> CardContent:
        """Return the card with what each rung waits for."""
        return replace(card, step="locked", figures=rung_figures(self.hand))


class LadderEnd:
    """Asks whether to end the ladder: where all passed, where a rung failed, or because it was asked for."""

    def __init__(self, hand: "PowerAtHand") -> None:
        self.hand = hand

    def back(self) -> bool:
        """Take back the question about the end where it was asked for."""
        had, self.hand.asking = self.hand.asking == "end", ""
        return had

    def question(self) -> Question:
        """Return what is asked now."""
        passed = self.hand.verdict.outcome is Outcome.PASS
        if passed and not self.hand.run.running:
            return self._which_again()
        ask, hint = self._words(passed=passed)
        return asked_once(self._deed, key="end", ask=ask, hint=hint, proposal="end")

    def _words(self, *, passed: bool) -> tuple[str, str]:
        failed = self.hand.failed
        if passed:
            return (
                "All four steps passed, in order. Enter ends the first power-on and judges it.",
                "cables, supply, pump or machine repeats a step · note",
            )
        if failed is not None:
            word = next(word for word, rung in WORDS.items() if rung is failed)
            ask = f'"{failed}" failed. Power off, mains out. Enter ends this attempt; then say what was found.'
            return ask, f"{word} repeats it in this attempt · note"
        ask = "Not every step has passed. Enter ends the first power-on all the same and judges it."
        return ask, "Without a pass the fan headers stay locked. Esc goes on with the steps."

    def _deed(self, text: str) -> Deed:
        found = None if command(text, ("end", "yes"))[0] else self.hand.aside(text)
        if found is None:
            one_word("end", "yes")(text)
            return Deed(told="end the first power-on and judge it", do=self._close)
        other = found

        def do() -> str:
            self.hand.asking = ""
            return other.done()

        return replace(other, do=do)

    def _close(self) -> str:
        hand = self.hand
        verdict = hand.work.close(hand.build_id)
        hand.asking, hand.again, hand.chosen, hand.beyond_supply = "", False, None, False
        return f"the first power-on is ended: {verdict.outcome.upper()}"

    def _which_again(self) -> Question:
        def deed(text: str) -> Deed:
            found = None if command(text, ("end",))[0] else self.hand.aside(text)
            if found is None:
                one_word("pump", "cables", "supply", "machine")(text)
            assert found is not None  # any other word was refused
            return found

        return asked_once(
            deed,
            key="which again",
            ask="Everything passed before. Which step do you repeat: cables, supply, pump or machine?",
            hint="A repeated step takes away what rests on it. Esc goes back to the builds.",
            placeholder="pump",
        )

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the verdict as it would be."""
        verdict = self.hand.verdict
        reasons = tuple(say(phrase) for phrase in verdict.reasons)
        line = VerdictLine(word=str(verdict.outcome), text=reasons[0], final=verdict.outcome is Outcome.FAIL)
        return replace(card, step="end", verdict=line, figures=rung_figures(self.hand), reasons=reasons[1:])
