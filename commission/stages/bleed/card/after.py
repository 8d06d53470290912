"""After the bleed: the verdict, and what comes next or what to do again."""

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_choice
from commission.bench.attempts import advice, closed_row, ended_by, judged_line, stale_since
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.procedure.stage_ids import BLEED
from commission.record.build_state import StageRun
from commission.stages.bleed.entries import BleedClosed
from commission.stages.bleed.rows.figures import cycle_rows, figures_of, reasons_of, squeeze_rows
from commission.stages.bleed.state import BleedState

if TYPE_CHECKING:
    from commission.stages.fill.at_hand import CoolantAtHand


class BleedAfter:
    """Shows what the last bleed proved."""

    def __init__(self, hand: "CoolantAtHand") -> None:
        self.hand = hand

    @property
    def judged(self) -> tuple[StageRun, BleedClosed]:
        """The last attempt that was ended and judged, with the entry that did."""
        return ended_by(self.hand.state, BLEED, BleedClosed)

    def question(self) -> Question:
        """Return what is asked now."""
        run, closed = self.judged
        passed = closed.verdict.outcome is Outcome.PASS and run.stale_by is None
        onward = self._onward(closed, passed=passed)
        if passed:
            ask = "Passed."
            hint = "bleed opens another attempt: bleed again after the first warm-up"
        else:
            ask = f"{_advice(run, closed)} Enter bleeds on, as attempt {run.attempt + 1}."
            hint = "Esc: the builds"
            hint = f"next: {onward[0][0][-1]} · {hint}" if onward else hint
        proposal = ("next" if onward else None) if passed else "bleed"
        return asked_choice(
            *onward,
            (("bleed", "again", "yes"), self.hand.again_deed()),
            key=f"after bleed {proposal}",
            ask=f"{ask} Next: {onward[0][0][-1]}." if onward and passed else ask,
            hint=hint,
            proposal=proposal,
            placeholder="" if proposal else "type bleed",
        )

    def _onward(self, closed: BleedClosed, *, passed: bool) -> "tuple[tuple[tuple[str, ...], Deed], ...]":
        """Return the answers that lead on; what failed leads nowhere."""
        if passed:
            return self.hand.onward_deeds()
        undecided = closed.verdict.outcome is Outcome.INCONCLUSIVE
        return self.hand.open_ahead_deeds() if undecided else ()

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the verdict, its reasons and its figures."""
        state = self.hand.state
        run, closed = self.judged
        verdict = closed.verdict
        reasons = reasons_of(verdict)
        return replace(
            card,
            step=f"attempt {run.attempt}",
            verdict=judged_line(run, verdict.outcome, reasons[0]),
            figures=(*figures_of(verdict), *closed_row(run)),
            reasons=(
                *stale_since(run, reasons[0]),
                *reasons[1:],
                *squeeze_rows(state.of(BleedState).squeezes),
                *cycle_rows(state),
            ),
            plot=bool(state.of(BleedState).cycles),
        )


def _advice(run: StageRun, closed: BleedClosed) -> str:
    codes = {phrase.code for phrase in closed.verdict.reasons} if run.stale_by is None else ()
    if "not_converging" in codes:
        return "The amounts do not shrink: look for damp, then tilt the case another way."
    if "even_as_a_drip" in codes:
        return "It may be a drip: look at every joint with a dry paper first."
    return advice(
        run,
        stale="What is in the loop was changed since this was judged.",
        fail="Air is still coming out.",
        undecided="Not a pass: the rule needs more cycles, or finer readings.",
        unusable="These cycles cannot be used: fix the cause first.",
    )
