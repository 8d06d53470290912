"""After the soak: the verdict, and what comes next or what to do again."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.text import clip
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_choice, asked_once, command, with_reader
from commission.bench.attempts import advice, closed_row, ended_by, judged_line, stale_since
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.bench.words_here import NOTE
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.build_state import StageRun
from commission.record.taken_back import MUCH_WITHDRAWN
from commission.stages.thermal_soak.card.coolant import as_top_up, level_in, top_up_in
from commission.stages.thermal_soak.entries import SoakClosed
from commission.stages.thermal_soak.judge.reasons import MISSING
from commission.stages.thermal_soak.rows.figures import on_card, reasons_of
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.work.soaks import Soaks

if TYPE_CHECKING:
    from commission.bench.at_hand import StageAtHand


_PASSED = {
    "top-up": "top-up 12 mL: what went in up to the mark once cold; from NAME tells the bottle",
    "level": "level 120 mm 23 degC: level above the zero mark once cold, and the coolant's temperature",
    **NOTE,
}


class SoakAfter:
    """Shows what the last soak proved."""

    def __init__(self, hand: "StageAtHand[Soaks]") -> None:
        self.hand = hand
        self._top_up = ""
        """An amount that waits until the plug is out."""

    @property
    def judged(self) -> tuple[StageRun, SoakClosed]:
        """The last attempt that was ended and judged, with the entry that did."""
        return ended_by(self.hand.state, THERMAL_SOAK, SoakClosed)

    def question(self) -> Question:
        """Return what is asked now."""
        if self._top_up:
            return self._pour()
        run, closed = self.judged
        passed = closed.verdict.outcome is Outcome.PASS and run.stale_by is None
        onward = self.hand.onward_deeds() if passed else ()
        if passed:
            ask = "Passed. Once cold, look at the level: air that came out is no leak. After a top-up, bleed again."
            if closed.verdict.level is not None:
                ask = "Passed, and cold again no coolant is missing beyond what a level can tell."
            hint = "top-up 12 mL · level, cold · note · soak opens another attempt"
        else:
            ask = f"{_advice(run, closed.verdict.reasons[0].code)} Enter soaks again, as attempt {run.attempt + 1}."
            hint = "note · Esc: the builds"
        proposal = "next" if onward else None if passed else "soak"
        asked = asked_choice(
            *onward,
            (("soak", "again", "yes"), self.hand.again_deed()),
            key=f"after soak {proposal}",
            ask=f"{ask} Next: {onward[0][0][-1]}." if onward else ask,
            hint=hint,
            proposal=proposal,
            placeholder="" if proposal else "type soak",
        )

        def deed(text: str) -> Deed:
            word, rest = command(as_top_up(text), _PASSED if passed else ("note",))
            match word:
                case "":
                    return asked.deed(text)
                case "note":
                    return self.hand.note_deed(rest)
                case "top-up":
                    return Deed(told=f"{top_up_in(self.hand, rest).told}; the plug first", do=lambda: self._wait(rest))
                case _:
                    return level_in(self.hand, word, rest)

        return with_reader(asked.prompt, deed)

    def back(self) -> bool:
        """Leave a top-up that was not poured."""
        had, self._top_up = bool(self._top_up), ""
        return had

    def _wait(self, amount: str) -> None:
        self._top_up = amount

    def _pour(self) -> Question:
        """Ask for the plug before an amount is recorded: after a soak the machine is hot and powered."""
        amount = self._top_up

        def deed(text: str) -> Deed:
            if " ".join(text.casefold().split()) not in ("plug out", "out"):
                raise InputError(f"{clip(text)} is not the word: type plug out once it is so")
            made = top_up_in(self.hand, f"{amount}{' ' if '#' in amount else ' # '}mains plug out, machine cold")

            def do() -> str:
                said = made.done()
                self._top_up = ""
                return said

            return Deed(told=made.told, do=do)

        return asked_once(
            deed,
            key=f"top-up {amount}",
            ask="Shut down, mains plug out at the computer, cold? Add only then. Once it is so, type: plug out",
            hint="hot coolant scalds and may stand under pressure: open slowly, face aside · Esc: no top-up",
            placeholder="plug out",
        )

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the verdict, its reasons and its figures."""
        run, closed = self.judged
        reasons = reasons_of(closed.verdict)
        return replace(
            card,
            step=f"attempt {run.attempt}",
            verdict=judged_line(run, closed.verdict.outcome, reasons[0]),
            figures=(*on_card(closed.verdict), *closed_row(run)),
            reasons=(*stale_since(run), *reasons[1:]),
            plot=bool(self.hand.state.of(SoakState).readings),
        )


def _advice(run: StageRun, why: str) -> str:
    undecided = {
        MISSING: "Not a pass: coolant is missing. Look for it before you top up.",
        MUCH_WITHDRAWN: "Not a pass: note why those readings were withdrawn, then soak again.",
    }.get(why, "Not a pass: a longer soak at one load tells more.")
    return advice(
        run,
        stale="The loop or its power was changed since this was judged.",
        fail="Too warm, or flow that falls: put that right first.",
        undecided=undecided,
        unusable="These readings give no verdict: put the cause right first.",
    )
