"""After the soak: the verdict, and what comes next or what to do again."""

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_choice, command, with_reader
from commission.bench.attempts import advice, closed_row, ended_by, judged_line, stale_since
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.build_state import StageRun
from commission.record.taken_back import MUCH_WITHDRAWN
from commission.stages.thermal_soak.card.coolant import level_in
from commission.stages.thermal_soak.entries import SoakClosed
from commission.stages.thermal_soak.judge.reasons import MISSING
from commission.stages.thermal_soak.rows.figures import on_card, reasons_of
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.work import Soaks

if TYPE_CHECKING:
    from commission.bench.at_hand import StageAtHand


class SoakAfter:
    """Shows what the last soak proved."""

    def __init__(self, hand: "StageAtHand[Soaks]") -> None:
        self.hand = hand

    @property
    def judged(self) -> tuple[StageRun, SoakClosed]:
        """The last attempt that was ended and judged, with the entry that did."""
        return ended_by(self.hand.state, THERMAL_SOAK, SoakClosed)

    def question(self) -> Question:
        """Return what is asked now."""
        run, closed = self.judged
        passed = closed.verdict.outcome is Outcome.PASS and run.stale_by is None
        onward = self.hand.onward_deeds() if passed else ()
        if passed:
            ask = "Passed. Once cold, look at the level: air that came out on warming is no leak. Top up to the mark."
            if closed.verdict.level is not None:
                ask = "Passed, and cold again no coolant is missing beyond what a level can tell."
            hint = "level, cold · note · soak opens another attempt"
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
            word, rest = command(text, ("level", "note") if passed else ("note",))
            if word == "note":
                return self.hand.note_deed(rest)
            return level_in(self.hand, word, rest) if word else asked.deed(text)

        return with_reader(asked.prompt, deed)

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
