"""While coolant goes in: one line an amount, steps in between, the verdict so far, and the end."""

import re
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.base.verdict import Outcome
from commission.bench.all_dry import read_all_dry
from commission.bench.ask import Question, asked_once, command, listed, one_of
from commission.bench.asked_back import AskedBack, Ending
from commission.bench.card import CardContent, VerdictLine
from commission.bench.deed import Deed
from commission.bench.last_entry import LastEntry, latest
from commission.bench.words_here import NOTE, hear, refuse_renamed
from commission.procedure.model import When
from commission.procedure.stage_ids import FILL
from commission.record.locks import refuse_pump
from commission.stages.fill.card.bottle_form import BottleForm
from commission.stages.fill.rows.bottle import bottles_left, left_text
from commission.stages.fill.rows.figures import expected_rows, figures_of, notices_of, reasons_of
from commission.stages.fill.typed.bottle import label
from commission.stages.fill.typed.liquid import LIQUID, liquid_deed
from commission.stages.fill.typed.moves import pour_deed
from commission.stages.fill.typed.reservoir import EXAMPLE
from commission.stages.fill.typed.withdrawable import moved_in
from commission.stages.fill.work.fills import PUMP_STEP, Fills
from commission.units.parse import parse
from commission.units.show import show
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.stages.fill.at_hand import CoolantAtHand

WORDS = {
    **LIQUID,
    "bottle": "bottle NAME: the bottle in hand; bottle new describes one",
    "temp": "temp 22 degC: how warm is what goes in",
    "undo": "undo: withdraws the last entry",
    **NOTE,
    "end": "end: the fill is ended and judged",
    "done": "done: the step is done",
}
"""What may be typed in place of a pour."""

DRY = "dry"
"""How the look at every joint is answered. It is typed: Enter alone may have been pressed without a look."""


_AMOUNTS = "weighed 1184.6 531.2 g · 250 mL · marks 900 300 mL"


_AN_AMOUNT = re.compile(r"[0-9][0-9.,]*\s*(?:[mcd]?l|g|kg|fl|oz)\b", re.IGNORECASE)


class Pouring:
    """Takes amounts, levels and steps until the fill is ended."""

    def __init__(self, hand: "CoolantAtHand") -> None:
        self.hand = hand
        ending = Ending(
            what="fill",
            missing=self._undone,
            hint="Esc goes on with the fill. The pump stands still until bleeding begins.",
            close=self._close,
        )
        self.asking = AskedBack(hand, self._last, ending)
        self.form: BottleForm | None = None

    def back(self) -> bool:
        """Leave the form, or take back a question about the end or a withdrawal."""
        if self.form is not None:
            if not self.form.back():
                self.form = None
            return True
        return self.asking.back()

    # --- questions -------------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now."""
        self._take_from_form()
        if self.form is not None:
            return self.form.question()
        if self.hand.bottle is None:
            return self._which_bottle()
        if self.asking.what == "pump":
            return self.hand.ask_caution(When.BEFORE_PUMP)
        return self.asking.question() or self._line()

    @property
    def pump_asked(self) -> bool:
        """Whether the caution before the pump runs is what is asked now."""
        self._take_from_form()
        return self.asking.what == "pump" and self.form is None

    @property
    def moments(self) -> tuple[When, ...]:
        """The moments whose cautions are shown now, and not asked; none while one is asked."""
        self._take_from_form()
        if self.asking.what == "pump" and self.form is None:
            return ()
        step = self._step()
        if step == "look" or self.asking.what == "end":
            return (When.LOOKING,)
        poured = bool(self.hand.state.run(FILL).started)
        if step != "protect":
            return (When.POURING,)
        return (When.LAYING_OUT, When.POURING) if poured else (When.LAYING_OUT,)

    def _take_from_form(self) -> None:
        if self.form is not None and self.form.stored is not None:
            self.hand.bottle_id, self.form = self.form.stored.bottle_id, None
        if not self.hand.bottles and self.form is None:
            self.form = BottleForm(self.hand.book)
        missing = self.hand.work.missing_cautions(self.hand.state, When.BEFORE_PUMP)
        if self.asking.what == "pump" and not (missing and self._step() == PUMP_STEP):
            self.asking.back()
        elif not self.asking.what and missing and self._step() == PUMP_STEP:
            self.asking.ask("pump")

    def _step(self) -> str:
        steps = self.hand.work.missing_steps(self.hand.state)
        return steps[0] if steps else ""

    def _which_bottle(self) -> Question:
        names = [one.name for one in self.hand.bottles]
        return asked_once(
            lambda text: self._bottle(_named(text)),
            key="which bottle",
            ask="From which bottle do you pour first? Type its number or name, or new.",
            hint=" · ".join(f"{n} {name}" for n, name in enumerate(names, 1)),
        )

    def _bottle(self, text: str) -> Deed:
        names = {one.bottle_id: one.name for one in self.hand.bottles}
        if not text.strip():
            raise InputError(f"type bottle and a name: {listed(list(names.values()))}, or new")
        if text.strip().casefold() == "new":
            return Deed(told="describe a bottle", do=self._describe_bottle)
        if _AN_AMOUNT.match(text.strip()):
            raise InputError(f"{clip(text)}: the bottle comes first; type {listed([*names.values()])}")
        key = one_of(text, names, "bottle")
        chosen = next(one for one in self.hand.bottles if one.bottle_id == key)
        told = f"pour from {chosen.name}: {label(chosen)}; left: {left_text(self.hand.left_m3(chosen))}"
        return Deed(told=told, do=lambda: self.hand.take_bottle(key))

    def _describe_bottle(self) -> None:
        self.form = BottleForm(self.hand.book)

    def _line(self) -> Question:
        step, poured = self._step(), bool(self.hand.state.run(FILL).started)
        proposal = None
        full = step not in ("", "protect") and self._full()
        if full:
            ask = "As logged the loop is full: nothing is missing. Enter ends the fill and judges it."
            proposal = "end"
        elif not step:
            ask = "Type what goes in; Enter ends the fill and judges it."
            proposal = "end" if poured else None
        else:
            known = self.hand.step_of(step)
            ask = known.do
            proposal = "done" if step != "look" and (poured or step == "protect") else None
        return asked_once(
            self.deed,
            key=f"line {step}",
            ask=ask,
            hint=f"end · {self._hint(step)}" if full else self._hint(step),
            proposal=proposal,
            placeholder="" if proposal else DRY if step == "look" else worded(_AMOUNTS),
        )

    def _full(self) -> bool:
        """Return whether another attempt begins with a loop that lacks nothing that bleeding may not begin with."""
        attempt = self.hand.state.run(FILL)
        if attempt.attempt < 2 or attempt.started or not self.hand.coolant.moves or self.hand.coolant.amount_unknown:
            return False
        looked = not self.hand.book.work(Fills).steps_open(self.hand.state)
        return looked and self.hand.fill_verdict.outcome is Outcome.PASS

    def _hint(self, step: str) -> str:
        if step == "protect":
            return f"good: {self.hand.step_of(step).good}"
        if step == "look":
            return f"{DRY}: {self.hand.step_of(step).good} · wet: a drop anywhere · or go on pouring"
        if step == "to_the_mark" and self.hand.coolant.reservoir is None:
            return worded(f"optional: {EXAMPLE} (inner diameter, height), then level 120 mm 23 degC")
        if step == "to_the_mark":
            return worded("level 120 mm 23 degC · 250 mL · spill · draw · undo · done")
        return worded(
            "250 mL · weighed 1184.6 531.2 g · marks 900 300 mL · spill · drain · draw · lost · bottle · temp · undo"
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
        if self._step() == "look" and (looked := self._looked(text)) is not None:
            return looked
        refuse_renamed(text, {"mark": "level", "pour": "the amount alone", "at": "temp"})
        word, rest = command(text, WORDS)
        match word:
            case "":
                return pour_deed(hand, rest)
            case "bottle":
                return self._bottle(rest)
            case "done":
                return self._done(rest)
            case "temp":
                return self._warmth(rest)
            case _:
                return liquid_deed(hand, word, rest, stage=FILL) or self.asking.deed(word, rest)

    def _warmth(self, rest: str) -> Deed:
        at = parse(rest, Quantity.TEMPERATURE, usual=self.hand.degrees)

        def do() -> None:
            self.hand.at = at

        return Deed(told=f"what is added from now on has {show(at.si, Quantity.TEMPERATURE)}", do=do)

    def _looked(self, text: str) -> Deed | None:
        """Return what the answer to the look does; None where the line is no answer to it."""
        said = text.strip().casefold()
        hear((DRY,))
        if said.removeprefix("all ").lstrip().startswith(DRY):
            return self._done(read_all_dry(text), told="every joint and every paper is dry")
        if not said or said.split()[0] == "done":
            raise InputError(f"type {DRY} once each joint and each paper was looked at; wet for a drop anywhere")
        return None

    def _done(self, note: str, *, told: str = "step done") -> Deed:
        step = self._step()
        if not step:
            raise InputError("every step is done; type what goes in, or end")
        if step not in ("protect", "look") and not self.hand.state.run(FILL).started:
            raise InputError(worded("nothing was added in this attempt yet; type what goes in first, such as 250 mL"))
        if step == PUMP_STEP:
            refuse_pump(self.hand.state)
        return self.hand.step_deed(step, note, told=f"{told}{f', note: {note}' if note else ''}")

    # --- withdrawing -----------------------------------------------------------------------------------------

    def _last(self) -> LastEntry:
        """Return what was moved or read last in this fill."""
        return latest(
            moved_in(self.hand, FILL), "nothing was added or read in this attempt; there is nothing to withdraw"
        )

    # --- the end ---------------------------------------------------------------------------------------------

    def _undone(self) -> str:
        steps = self.hand.work.missing_steps(self.hand.state)
        number = "1 step is" if len(steps) == 1 else f"{len(steps)} steps are"
        if self.hand.book.work(Fills).steps_open(self.hand.state):
            return f"{number} not reported done, so it is no pass. Enter ends the fill all the same."
        return f"{number} not reported done. Enter ends the fill all the same." if steps else ""

    def _close(self) -> Outcome:
        return self.hand.book.work(Fills).close(self.hand.build_id).outcome

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the total, what is missing and what is in the loop."""
        self._take_from_form()
        if self.form is not None:
            return replace(card, step="bottle", figures=self.form.figures())
        hand = self.hand
        total = len(hand.stage.steps) + 1
        step = f"{total - len(hand.work.missing_steps(hand.state))} of {total}"
        left = bottles_left(hand, hand.bottles)
        if not hand.coolant.moves:
            return replace(card, step=step, figures=(*expected_rows(hand.fill_verdict), *left))
        verdict, headspace = hand.fill_verdict, hand.headspace
        reasons = reasons_of(verdict)
        hot_k = hand.stage.limit("hot_k")
        return replace(
            card,
            step=step,
            figures=(*figures_of(verdict, headspace, hot_k), *left),
            verdict=VerdictLine(word=verdict.outcome, text=reasons[0]),
            notices=notices_of(headspace),
            reasons=reasons[1:],
            plot=verdict.picture is not None,
        )


def _named(text: str) -> str:
    """Return the name of a bottle, where the word bottle was typed before it as well."""
    return command(text, ("bottle",))[1]
