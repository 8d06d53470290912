"""While a machine soaks: one line a reading, the joints, the verdict so far, what is missing, and the end."""

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, command
from commission.bench.asked_back import AskedBack, Ending
from commission.bench.card import CardContent, VerdictLine
from commission.bench.deed import Deed
from commission.bench.doubt import Doubt
from commission.bench.joint_look import says_paper
from commission.bench.last_entry import LastEntry, latest
from commission.bench.words_here import NOTE
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.stages.thermal_soak.card.coolant import first_of_all, level_in
from commission.stages.thermal_soak.card.deeds import feed_deed, limit_deed, look_deed, read_deed
from commission.stages.thermal_soak.card.live import LiveSoak
from commission.stages.thermal_soak.judge.levels_read import before_and_after, levels_of
from commission.stages.thermal_soak.judge.reasons import CHANGED, MISSING, NOT_WATCHED
from commission.stages.thermal_soak.model import SoakVerdict
from commission.stages.thermal_soak.rows.figures import (
    counted_readings,
    missing_of,
    on_card,
    reasons_of,
)
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.typed.reading import example
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from commission.units.show import say
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.bench.at_hand import StageAtHand

NAMED = 4
"""Most joints that are named as missing [1]; our choice: more fill the card."""
WORDS = {
    "file": "file NAME: reads a table of readings",
    "joints": "joints: paper at the hot joints",
    "limit": "limit cpu 90 degC, data sheet: how warm a component may get",
    "live": "live NAME: reads a thermometer; live board reads the board",
    "hand": "hand: readings are typed again",
    "level": "level 120 mm 23 degC: level above the zero mark, and the coolant's temperature",
    "reservoir": "reservoir 60 mm 200 mm: inner diameter and height of its straight part",
    "undo": "undo: withdraws the last entry",
    **NOTE,
    "end": "end: the soak is ended and judged",
}
"""What may be typed in place of a reading."""


class Soaking:
    """Takes readings and commands until the soak is ended."""

    def __init__(self, hand: "StageAtHand[Soaks]", verdict: "Callable[[], SoakVerdict]") -> None:
        self.hand = hand
        self._verdict = verdict
        self.live = LiveSoak(hand)
        """What is read by itself, if anything."""
        ending = Ending(
            what="soak",
            missing=self._missing,
            hint="Without a pass what comes next stays locked. Esc goes on with the soak.",
            close=self._close,
        )
        self.asking, self.doubt = AskedBack(hand, self._last, ending, self.deed), Doubt()

    def _close(self) -> Outcome:
        self.live.end()
        return self.hand.work.close(self.hand.build_id).outcome

    def back(self) -> bool:
        """Take back a question about the end, a withdrawal or a file."""
        return self.doubt.back() or self.asking.back()

    def question(self) -> Question:
        """Return what is asked now."""
        return self.doubt.question() or self.asking.question() or self._line()

    @property
    def _looked(self) -> bool:
        """Whether every joint was looked at, by name or in one act; whether that was while hot the verdict says."""
        joints, kept = self.hand.work.joints(self.hand.state), self.hand.state.of(SoakState)
        by_name = bool(joints) and set(joints) <= {look.joint for look in kept.looks}
        return by_name or JOINTS_HOT not in self.hand.work.missing_steps(self.hand.state)

    def _line(self) -> Question:
        passed = self._verdict().outcome is Outcome.PASS
        ask = "Load on, nothing changed? Type a reading every minute or two, each number behind its name."
        before, after = before_and_after(self.hand.state, self.hand.state.run(THERMAL_SOAK))
        cooling = passed and before is not None and after is None
        changed = self._verdict().reasons[0].code == CHANGED
        if changed:
            ask = "The machine was changed since this soak began: Enter ends it. Then begin another."
        elif self._verdict().reasons[0].code == MISSING:
            ask = "Leave the load off. Dry paper to every joint: a wet one is a leak, record it. All dry: type end."
        elif cooling:
            ask = "The bounds are within the limits: load off, pump on. Once cold, read the level again; then end."
        elif passed:
            ask = "The bounds are within the limits: Enter ends the soak; or type another reading."
        elif before is None and not self.hand.state.of(SoakState).readings:
            ask = f"{first_of_all(self.hand.state)} {ask.partition('? ')[2]}"
        elif self.hand.state.of(SoakState).readings and not self._looked:
            ask = "Type the next reading. While hot: dry paper to every joint, then type joints."
        if self.live.on:
            ask = f"{self.live.remark()}{'' if self._looked else ' While hot: dry paper to every joint, type joints.'}"
        hand = "hand · " if self.live.on else ""
        return asked_once(
            self.deed,
            key="soak reading",
            ask=ask,
            hint=f"{hand}joints: all dry while hot · level, cold · file and its path · undo · note · end",
            proposal="end" if changed or (passed and not cooling) else None,
            placeholder=worded("level 120 mm 23 degC")
            if cooling
            else ""
            if passed
            else example().partition(" flow")[0],
        )

    def deed(self, text: str) -> Deed:
        """Return what a line does; raises where it cannot be understood, or may not be done now."""
        word, rest = command(text, WORDS)
        if not word:
            return look_deed(self.hand, rest) if says_paper(rest) else read_deed(self.hand, rest)
        ways: dict[str, Callable[[str], Deed]] = {
            "file": lambda text: feed_deed(self.hand, text, self.doubt.about),
            "level": lambda text: level_in(self.hand, word, text),
            "reservoir": lambda text: level_in(self.hand, word, text),
            "joints": lambda text: look_deed(self.hand, text),
            "live": self.live.begin_deed,
            "hand": lambda _: self.live.end_deed(),
            "limit": lambda text: limit_deed(self.hand, text),
        }
        return ways[word](rest) if word in ways else self.asking.deed(word, rest)

    def _last(self) -> LastEntry:
        taken = self.hand.state.of(SoakState).taken
        rows = [LastEntry(seq=one.seq, what=counted_readings(len(one.readings))) for one in taken]
        levels = levels_of(self.hand.state, self.hand.state.run(THERMAL_SOAK))
        rows += [LastEntry(seq=one.seq, what="a level") for one in levels]
        looked = self.hand.state.of(SoakState).looked
        rows += [LastEntry(seq=one.seq, what="a look at hot joints") for one in looked]
        return latest(rows, "nothing was read in this soak; there is nothing to withdraw")

    def _missing(self) -> str:
        if self._verdict().outcome is Outcome.PASS:
            return ""
        return f"Not a pass: {missing_of(self._verdict())}. Enter ends the soak all the same and judges it."

    def _joints_left(self) -> str:
        """Return what the look at the hot joints lacks; empty where each was looked at."""
        if self._looked:
            return ""
        seen = {look.joint for look in self.hand.state.of(SoakState).looks}
        left = [joint for joint in self.hand.work.joints(self.hand.state) if joint not in seen]
        named = f"{', '.join(left[:NAMED])}{f' and {len(left) - NAMED} more' if len(left) > NAMED else ''}"
        if self._verdict().reasons[0].code == NOT_WATCHED.code:
            return named  # the reason above says what they lack
        return f"dry paper to every joint while hot{f': {named}' if left else ''}"

    def card(self, card: CardContent) -> CardContent:
        """Return the card with where it settles, and what a pass still needs."""
        verdict, readings = self._verdict(), self.hand.state.of(SoakState).readings
        live = [self.live.remark()] if self.live.told else []  # else the question says it
        other = self.hand.work.borrowed(self.hand.state)
        live += [say(other)] if other is not None else []
        if not readings:
            return replace(card, step="reading 1", notices=(*card.notices, *live))
        reasons = reasons_of(verdict)
        return replace(
            card,
            step=f"reading {len(readings) + 1}",
            figures=on_card(verdict),
            verdict=VerdictLine(word=verdict.outcome, text=reasons[0]),
            missing=self._joints_left(),
            notices=(*card.notices, *live),
            reasons=reasons[1:],
            plot=verdict.picture is not None,
        )
