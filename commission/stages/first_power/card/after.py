"""After the first power-on: the verdict, what was found and done where a rung failed, and what comes next."""

from functools import partial
from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, choice_of, command, some_text
from commission.bench.attempts import advice, closed_row, ended_by, judged_line, stale_since
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.bench.defect import ask_cure, found_deed
from commission.bench.words_here import refuse_renamed
from commission.procedure.stage_ids import BLEED, FAN_HEADERS, FIRST_POWER, HOLD
from commission.record.build_state import StageRun
from commission.record.machine.rungs import Rung
from commission.record.mishaps import Mishaps
from commission.stages.first_power.entries import FirstPowerClosed
from commission.stages.first_power.rows.ladder import rung_row
from commission.units.show import say

if TYPE_CHECKING:
    from commission.record.fold import Finding
    from commission.record.logged import Logged
    from commission.stages.first_power.at_hand import PowerAtHand

_FOUND = {
    Rung.CABLES: "such as: pins 3 and 4 swapped at the supply end",
    Rung.SUPPLY: "such as: contact of pin 10 pushed back",
    Rung.PUMP: "such as: seal of the upper port nicked",
    Rung.MACHINE: "such as: the pump's plug sat on the wrong header",
}


class PowerAfter:
    """Shows what the last ladder proved, and asks for what follows."""

    def __init__(self, hand: "PowerAtHand") -> None:
        self.hand = hand

    @property
    def judged(self) -> tuple[StageRun, FirstPowerClosed]:
        """The last attempt that was ended and judged, with the entry that did."""
        return ended_by(self.hand.state, FIRST_POWER, FirstPowerClosed)

    @property
    def _findings(self) -> "tuple[Finding, ...]":
        return tuple(one for one in self.hand.state.findings if one.raised.stage == FIRST_POWER)

    def _failed(self, closed: FirstPowerClosed) -> Rung | None:
        bad = (Outcome.FAIL, Outcome.INVALID)
        return next((state.rung for state in closed.verdict.rungs if state.outcome in bad), None)

    def question(self) -> Question:
        """Return what is asked now: the fault first, then its cure, then what comes next."""
        run, closed = self.judged
        failed = self._failed(closed) if closed.verdict.outcome is Outcome.FAIL else None
        if failed is not None and all(one.raised.attempt != run.attempt for one in self._findings):
            return self._finding(failed)
        uncured = next((one for one in self._findings if not one.cure), None)
        if uncured is not None:
            return self._cure(uncured)
        passed = closed.verdict.outcome is Outcome.PASS and run.stale_by is None
        return self._on() if passed else self._again(run, closed)

    # --- questions -------------------------------------------------------------------------------------------

    def _finding(self, rung: Rung) -> Question:
        def record(found: str) -> "Logged":
            return self.hand.work.findings.raise_finding(self.hand.build_id, rung, found)

        return asked_once(
            lambda text: found_deed(some_text("what was found")(text), "", record),
            key="found",
            ask=f'"{rung}" failed. With power off and mains out: what was found?',
            hint=_FOUND[rung],
        )

    def _cure(self, finding: "Finding") -> Question:
        cure, build_id = self.hand.book.work(Mishaps).repaired, self.hand.build_id
        return ask_cure(finding, "only the step done again shows whether it worked", partial(cure, build_id))

    def _on(self) -> Question:
        headers = any(rung.stage.id == FAN_HEADERS for rung in self.hand.rungs)
        ask = "Passed." + (" Next: fan headers." if headers else "")
        return self._go_or_again(ask, "again does the four steps again", FAN_HEADERS if headers else "", "headers")

    def _again(self, run: StageRun, closed: FirstPowerClosed) -> Question:
        failed = self._failed(closed)
        number = run.attempt + 1
        codes = {phrase.code for phrase in closed.verdict.reasons}
        if failed is Rung.PUMP and run.stale_by is None:
            ask = "Wet joint. Drain, repair, then repeat the pressure hold. Enter goes to the hold."
            return self._go_or_again(ask, f"again begins attempt {number}", HOLD, "hold")
        if "pump_draws_air" in codes:
            ask = "The pump draws air. Enter goes to bleeding."
            return self._go_or_again(ask, f"again begins attempt {number}", BLEED, "bleed")
        return self._go_or_again(f"{_advice(run)} Enter begins attempt {number}.", "Esc: the builds", "", "")

    def _go_or_again(self, ask: str, hint: str, stage: str, word: str) -> Question:
        """Ask whether to go to a stage, or to climb again; without a stage Enter climbs again."""
        again = (("again", "yes"), self.hand.again_deed("; what passed below stays passed"))

        def read(text: str) -> Deed:
            if stage and command(text, (word, "go", "next"))[0]:
                return Deed(told=f"go to {stage.replace('_', ' ')}", go=stage)
            refuse_renamed(text, {"retest": "again", "climb": "again"})
            return choice_of(text, again)

        passed = self.judged[1].verdict.outcome is Outcome.PASS and self.judged[0].stale_by is None
        proposal = word if stage else None if passed else "again"
        return asked_once(
            read,
            key=f"after power {proposal}",
            ask=ask,
            hint=hint,
            proposal=proposal,
            placeholder="" if proposal else "type again",
        )

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the verdict, its reasons, each rung, and what was found and done."""
        run, closed = self.judged
        verdict = closed.verdict
        said = tuple(say(phrase) for phrase in verdict.reasons)
        return replace(
            card,
            step=f"attempt {run.attempt}",
            verdict=judged_line(run, verdict.outcome, said[0]),
            figures=(*(rung_row(one) for one in verdict.rungs), *closed_row(run)),
            reasons=(*stale_since(run, said[0]), *said[1:], *(_story(one) for one in self._findings)),
        )


def _story(finding: "Finding") -> str:
    cure = f" Done: {finding.cure}." if finding.cure else ""
    proof = f" Proved by attempt {finding.proved_by}." if finding.proved_by is not None else ""
    return f"Attempt {finding.raised.attempt}, {finding.raised.where}: {finding.raised.note}.{cure}{proof}"


def _advice(run: StageRun) -> str:
    return advice(
        run,
        stale="Something was changed since this was judged.",
        fail="Repair logged. Repeat the step to prove it.",
        undecided="Not a pass: a step is still open.",
        unusable="These readings cannot be used: fix the cause first.",
    )
