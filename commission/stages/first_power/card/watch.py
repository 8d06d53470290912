"""While the pump runs alone: looks at the joints, which one is due and when, and the end of the watch."""

import math
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, command, listed, one_word, with_reader
from commission.bench.asked_back import AskedBack
from commission.bench.card import CardContent, Figure, VerdictLine
from commission.bench.clock_times import DUE_SOON_S, ClockTimes
from commission.bench.deed import Deed
from commission.bench.figures import duration
from commission.bench.joint_look import read_look
from commission.bench.last_entry import LastEntry, why_undone
from commission.bench.words_here import NOTE
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.stages.first_power.model.wet_watch import LevelLook, WetVerdict
from commission.stages.first_power.rows.joints import joint_row
from commission.stages.first_power.rows.ladder import rung_figures
from commission.stages.first_power.rows.watch_due import looks_at, next_look
from commission.stages.first_power.typed.watch import read_state
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand

_LEAKS = ("joint_wet", "joint_weeps")

_WORDS = {
    "off": "off: the pump is off; the leak watch is judged",
    "undo": "undo: withdraws the last look",
    "end": "",
    "skip": "",
    **NOTE,
    "cables": "",
    "supply": "",
    "machine": "",
}
"""What may be typed in place of a look; those that wait until the pump is off are told nowhere."""


class Watching:
    """Takes looks until the pump is off again."""

    def __init__(self, hand: "PowerAtHand") -> None:
        self.hand = hand
        self.asking = AskedBack(hand, self._last)
        self._shown: tuple[object, ...] = ()

    def back(self) -> bool:
        """Take back a question about the end or a withdrawal."""
        return self.asking.back()

    # --- what is known ---------------------------------------------------------------------------------------

    @property
    def verdict(self) -> WetVerdict:
        """The verdict so far; it moves with the clock."""
        return self.hand.work.wet_verdict(self.hand.state)

    @property
    def leaks(self) -> bool:
        """Whether a look showed a leak: then nothing is asked but to switch off."""
        return self.verdict.outcome is Outcome.FAIL

    @property
    def elapsed_s(self) -> float:
        """How long the pump has run [s]."""
        return self.hand.work.watch(self.hand.state).elapsed_s

    def counts(self) -> dict[str, int]:
        """Return how often each joint was looked at, in the order of the list."""
        return looks_at(self.hand.power)

    def _next(self) -> tuple[float | None, tuple[str, ...]]:
        """Return when the next look is due [s], and at which joints."""
        return next_look(self.hand.power, self.verdict)

    @property
    def due(self) -> tuple[str, ...]:
        """Joints of the look that is due next, in the order of the list."""
        return self._next()[1]

    def times(self) -> ClockTimes:
        """Return how long the pump has run, when the next look is due, and when the watch ends."""
        elapsed, next_s = self.elapsed_s, self._next()[0]
        power = self.hand.work
        end_s = power.watch(self.hand.state).end_s(power.wet_rule(self.hand.state))
        return ClockTimes(
            elapsed_s=elapsed,
            due_in_s=None if next_s is None else next_s - elapsed,
            ends_in_s=end_s - elapsed,
            what="look",
        )

    def last_look(self) -> tuple[str, str]:
        """Return how many looks were taken of those that are needed, and the last one in words."""
        looks = self.hand.power.looks
        needed = self.hand.work.wet_rule(self.hand.state).looks * len(self.hand.power.joints)
        last = f"{looks[-1].joint} {looks[-1].paper}" if looks else "no look yet"
        return f"{len(looks)} of {needed} looks", last

    def turned(self) -> bool:
        """Return whether the clock has changed what is asked since this was asked last."""
        times = self.times()
        due_now = times.due_in_s is not None and times.due_in_s < DUE_SOON_S
        now = (due_now, (times.ends_in_s or 0) > 0, self.verdict.outcome)
        changed, self._shown = now != self._shown, now
        return changed

    # --- questions -------------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now: a leak comes before everything else."""
        if self.asking.what == "undo":
            return self._why_undone()
        if self.leaks:
            return self._off_at_once()
        return self._what_of_level() if self.asking.what == "off" else self._look()

    def _off_at_once(self) -> Question:
        word = one_word("off", "out", "yes")

        def read(text: str) -> Deed:
            if command(text, ("undo",))[0]:
                return self.asking.undo_deed()
            word(text)
            return Deed(
                told="the pump is off and the mains is out",
                do=lambda: self._end(LevelLook.NOT_LOOKED, Noise.NOT_LISTENED),
            )

        where = say(self.verdict.reasons[0]).partition(":")[0]
        return asked_once(
            read,
            key="off at once",
            ask=f"OFF AT ONCE, mains plug out: {where}. Once both are done, type: off",
            hint="undo only where the look was mistyped",
            placeholder="off",
        )

    def _look(self) -> Question:
        times, due, watched = self.times(), self.due, self.hand.power.joints
        ready = not due
        example = f"dry · damp · wet · all dry · {watched[-1]} wet # a drop"
        return asked_once(
            self.deed,
            key="look",
            ask=self._look_ask(times, due),
            hint=f"{example} · undo · note · off",
            placeholder="off" if ready else "dry",
        )

    def _look_ask(self, times: ClockTimes, due: tuple[str, ...]) -> str:
        if not due:
            return "All joints stayed dry. Switch the pump off yourself; then type off. This program only logs it."
        looks = self.hand.work.wet_rule(self.hand.state).looks
        number = f"Look {min(self.counts()[due[0]] + 1, looks)} of {looks}"
        if self._was_damp(due[0]):
            number = "Look again"
        wait = times.due_in_s or 0.0
        more = f", then {len(due) - 1} more" if len(due) > 1 else ""
        if wait > DUE_SOON_S:
            return f"Listen, watch the level. {number} in {duration(60 * math.ceil(wait / 60))}: " + (
                f"{due[0]}{more}. A drip before: its name and wet."
            )
        return f"{number}, due now: press dry paper to {due[0]}{more}. What does the paper show?"

    def _was_damp(self, joint: str) -> bool:
        """Return whether the last look at a joint showed damp paper."""
        papers = [look.paper for look in self.hand.power.looks if look.joint == joint]
        return bool(papers) and papers[-1] is Paper.DAMP

    def _what_of_level(self) -> Question:
        def read(text: str) -> Deed:
            level, noise = read_state(text)
            return Deed(told=f"the pump is off; level {level}, {noise}", do=lambda: self._end(level, noise))

        early = self.verdict.due
        left = f" It ends before its time: still due {listed(early)}." if early else ""
        return asked_once(
            read,
            key="level and noise",
            ask=f"Pump off. What did the level do, and what did the pump sound like to the end?{left}",
            hint="level: steady, sinking, unseen · noise: quiet, gurgling, rattling, unheard · Esc: watch on",
            placeholder="steady quiet",
        )

    # --- what a line does ------------------------------------------------------------------------------------

    def deed(self, text: str) -> Deed:
        """Return what a line does.

        Raises
        ------
        CommissionError
            If it cannot be understood, or may not be done while the pump runs.
        """
        word, rest = command(text, _WORDS)
        if word == "off" and not rest:
            return Deed(told="the pump is off: log it and judge the leak watch", do=lambda: self.asking.ask("off"))
        if word == "undo" and not rest:
            return self.asking.undo_deed()
        if word == "note":
            return self.hand.aside(text) or self.looked(text)
        if word and word not in ("off", "undo") and not rest:
            raise InputError("by this log the pump still runs: switch it off, type off, then go on")
        return self.looked(text)

    def looked(self, text: str) -> Deed:
        """Return what a look does; raises InputError where it cannot be understood."""
        line = read_look(text, self.hand.power.joints, self.due)

        def do() -> str:
            for joint in line.joints:
                self.hand.work.look(self.hand.build_id, joint, line.paper, line.note)
            return line.told

        damp = ": wipe it dry and look again in some minutes" if line.paper is Paper.DAMP else ""
        wet = ": OFF AT ONCE, mains out" if line.paper is Paper.WET else ""
        calls = "leak" if wet else ""
        return Deed(
            told=f"{line.told}{damp}{wet}", do=do, calls=calls, at=line.joints[0] if wet else "", seen=line.note
        )

    def _end(self, level: LevelLook, noise: Noise) -> str:
        verdict = self.hand.work.end_watch(self.hand.build_id, level=level, noise=noise)
        self.asking.back()
        return f"the pump is off: {verdict.outcome.upper()}"

    # --- withdrawing -----------------------------------------------------------------------------------------

    def _last(self) -> LastEntry:
        from commission.stages.first_power.entries import JointLooked

        gone = self.hand.state.withdrawn
        mine = [one for one in self.hand.book.entries(self.hand.build_id) if one.seq not in gone]
        looks = [(one.seq, one.payload.look) for one in mine if isinstance(one.payload, JointLooked)]
        if not self.hand.power.looks or not looks:
            raise InputError("no look was recorded in this watch; there is nothing to withdraw")
        seq, look = looks[-1]
        return LastEntry(seq=seq, what=f"{look.joint} {look.paper}")

    def _why_undone(self) -> Question:
        last = self.asking.wrong
        usual = why_undone(self.hand.book, last, self.asking.back)

        def read(text: str) -> Deed:
            word = text.split()[-1:]
            if word and word[0].casefold() in tuple(Paper):
                raise InputError(f"that looks like another look; Enter withdraws {last.told} first, or type a reason")
            return usual.deed(text)

        prompt = usual.prompt
        if self.leaks:
            prompt = replace(prompt, ask=f"Why is {last.told} wrong? Until you have said so, the pump should be off.")
        return with_reader(prompt, read)

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the clock, the verdict so far, and each joint with its looks."""
        verdict = self.verdict
        at_the_end = sorted(verdict.reasons, key=lambda phrase: phrase.code == "not_looked")
        if self.leaks:
            at_the_end = [phrase for phrase in verdict.reasons if phrase.code in _LEAKS]
        reasons = tuple(say(phrase) for phrase in at_the_end)
        return replace(
            card,
            step="3 pump",
            clock=True,
            verdict=VerdictLine(word=str(verdict.outcome), text=reasons[0], final=verdict.outcome is Outcome.FAIL),
            figures=(*self._rows(), *rung_figures(self.hand)),
            reasons=reasons[1:],
        )

    def _rows(self) -> tuple[Figure, ...]:
        due, wait = self.due, self.times().due_in_s
        word = "next" if wait is not None and wait > DUE_SOON_S else "due now"
        return tuple(
            joint_row(joint, self.hand.power.looks, word if joint in due and not self.leaks else "")
            for joint in self.hand.power.joints
        )
