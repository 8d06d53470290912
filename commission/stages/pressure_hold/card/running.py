"""While the hold runs: readings one a line, the verdict so far, and the end."""

import math
import time
from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench import asked_back
from commission.bench.ask import Question, asked_once, asked_text, command, some_text
from commission.bench.card import CardContent, VerdictLine, chosen
from commission.bench.clock_times import ClockTimes
from commission.bench.deed import Deed
from commission.bench.figures import difference, duration, forecast
from commission.bench.words_here import NOTE, refuse_renamed
from commission.stages.pressure_hold.card.live import LiveHold
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.rows.plan import assumed_text
from commission.stages.pressure_hold.rows.verdict import WHILE_RUNNING, course, figures_of, so_far, usual_units
from commission.stages.pressure_hold.state.found import fell_fast
from commission.stages.pressure_hold.typed.reading import (
    example,
    extend_deed,
    last_reading,
    late_deed,
    note_deed,
    reading_deed,
    to_read,
)
from commission.stages.pressure_hold.work.times import remarks_on_time
from commission.units.show import say, show

if TYPE_CHECKING:
    from commission.record.logged import Sample
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.model import HoldPicture, HoldVerdict

WORDS = {
    "end": "end: the hold is ended and judged",
    "undo": "undo: withdraws the last reading",
    **NOTE,
    "at": "at TIME READINGS: read earlier, typed now",
    "extend": "extend 1 h: the hold goes on so much longer",
    "abort": "abort: the hold counts no longer",
}
"""What may be typed in place of a reading."""
LIVE = {"live": "live NAME: reads the gauge by itself", "hand": "hand: readings are typed again"}
"""And where a gauge prints lines on a port."""

REST = 20.0
"""The verdict is not computed again before this many times as long as it took has gone by [1]."""
SHORTEST_REST_S = 2.0
SLOW_S = 0.1
"""A judgement that takes longer than this waits while a line is being typed [s]."""
LATE = 0.05
"""The last reading may be this share of the planned time older than the end [1]; our choice: nobody types on the
second."""


class Running:
    """Takes readings and commands while the clock runs."""

    def __init__(self, hand: "HoldAtHand") -> None:
        self.hand = hand
        self.live = LiveHold(hand)
        """The gauge that is read, if any."""
        ending = asked_back.Ending(
            what="hold",
            missing=self._early,
            hint=self._on_early,
            close=self._close,
        )
        self.asking = asked_back.AskedBack(hand, lambda: last_reading(hand), ending)
        self._verdict: HoldVerdict | None = None
        self._looked_at = -math.inf
        self._took_s = 0.0
        self._basis: tuple[int, int, bool] | None = None
        self._gone: tuple[tuple[frozenset[int], float], bool] | None = None

    # --- time ------------------------------------------------------------------------------------------------

    @property
    def elapsed_s(self) -> float:
        """How long it has run [s]."""
        return self.hand.work.elapsed_s(self.hand.state)

    @property
    def over(self) -> bool:
        """Whether the planned end is reached."""
        end = self.hand.hold.end_s
        return end is not None and self.elapsed_s >= end

    def times(self) -> ClockTimes:
        """Return the times for the clock."""
        elapsed, end = self.elapsed_s, self.hand.hold.end_s
        last = self.last_s
        due = None if last is None else self.hand.plan.every_s - (elapsed - last)
        if self._streamed:
            due = None
        if end is not None and due is not None:
            due = min(due, end - elapsed) if end > elapsed else due
        settle = self.hand.plan.settle_s or 0.0
        return ClockTimes(
            elapsed_s=elapsed,
            due_in_s=due,
            ends_in_s=None if end is None else end - elapsed,
            settling=elapsed < settle,
        )

    @property
    def _streamed(self) -> bool:
        """Whether an instrument streams samples: then no line need be typed."""
        return self.hand.book.log.last_sample(self.hand.hold.series) is not None

    @property
    def last_s(self) -> float | None:
        """When the last reading was taken, typed or streamed [s after the start]."""
        typed = [one.elapsed.elapsed_s for one in self.hand.hold.readings if one.reading.pressure]
        sample = self._last_row()
        if sample is not None:
            typed.append(sample.elapsed_s)
        return max(typed, default=None)

    def last_pressure(self) -> str:
        """Return what the gauge showed last, ready to read; empty where it was not read yet."""
        gauge = self.hand.plan.gauge
        sample = self._last_row()
        typed = [one for one in self.hand.hold.readings if one.reading.pressure]
        si = typed[-1].reading.pressure.si if typed and typed[-1].reading.pressure else None
        later = sample is not None and (not typed or sample.elapsed_s > typed[-1].elapsed.elapsed_s)
        if later and sample is not None and sample.pressure_pa is not None:
            si = sample.pressure_pa
        return "" if si is None else show(si, gauge.quantity, unit=gauge.unit, resolution=gauge.resolution)

    def _last_row(self) -> "Sample | None":
        """Return the row that was fed last; None where there is none, or that one was withdrawn."""
        hold, log = self.hand.hold, self.hand.book.log
        sample = log.last_sample(hold.series)
        if sample is None or not hold.rows_gone:
            return sample
        key = (hold.rows_gone, sample.elapsed_s)
        if self._gone is None or self._gone[0] != key:
            self._gone = (key, len(log.samples(hold.series).elapsed_s) in hold.rows_gone)
        return None if self._gone[1] else sample

    # --- the verdict so far ----------------------------------------------------------------------------------

    def look(self, *, now: bool = False) -> bool:
        """Judge again where something is new and it is not too early for that; return whether it was done."""
        hold = self.hand.hold
        sample = self.hand.book.log.last_sample(hold.series)
        basis = (self.hand.head, int(sample.elapsed_s) if sample else 0, self.over)
        rested = self._clock_s() - self._looked_at
        if basis == self._basis or (not now and rested < max(SHORTEST_REST_S, REST * self._took_s)):
            return False
        begun = time.monotonic()
        self._verdict = self.hand.work.verdict(self.hand.state)
        self._took_s = time.monotonic() - begun
        self._looked_at, self._basis = self._clock_s(), basis
        return True

    def _clock_s(self) -> float:
        """Return the steady clock of the record [s]: it is wound by hand where time is not to be waited for."""
        return self.hand.book.clock.now().mono_ms / 1000

    @property
    def slow(self) -> bool:
        """Whether judging takes so long that a typed key would wait for it."""
        return self._took_s > SLOW_S

    @property
    def verdict(self) -> "HoldVerdict | None":
        """The verdict so far, as last judged."""
        if self._basis is None or self._basis[0] != self.hand.head:
            self.look(now=True)
        return self._verdict

    @property
    def picture(self) -> "HoldPicture | None":
        """What the curve shows."""
        return self._verdict.picture if self._verdict else None

    # --- questions -------------------------------------------------------------------------------------------

    def back(self) -> bool:
        """Take back a question about the end or a withdrawal."""
        return self.asking.back()

    def question(self) -> Question:
        """Return what is asked now."""
        if self.asking.what == "abort":
            return self._why_aborted()
        return self.asking.question() or self._reading()

    def _reading(self) -> Question:
        ask, proposal = self._ask()
        more = "undo · note … · at 14:05 … · extend 1 h"
        if offered := self.live.offered:
            more += f" · live {offered}"
        elif self.live.on:
            more += " · hand"
        return asked_once(
            self.deed,
            key="reading",
            ask=ask,
            hint=f"end: the search comes next · {more} · abort" if self._fast else f"or: {more} · end · abort",
            proposal=proposal,
            placeholder="" if proposal else example(self.hand.plan),
        )

    def _ask(self) -> tuple[str, str | None]:
        verdict = self.verdict
        if self._gross():
            return "Leak proven, far above the limit: Enter ends the hold now as failed.", "end"
        if not self.over:
            return to_read(self.hand.plan), None
        last, end = self.last_s, self.hand.hold.end_s or 0.0
        if last is None or last < end - LATE * self.hand.plan.hold_s:
            return "The planned time is over: type the last reading, then end.", None
        if verdict is not None and verdict.outcome is Outcome.INCONCLUSIVE and verdict.hold_needed_s is not None:
            longer = self._longer(verdict.hold_needed_s)
            if longer is not None:
                return "The planned time has not decided it. Enter goes on; or type end.", f"extend {longer}"
        return "The planned time is over. Enter ends the hold; or type a last reading first.", "end"

    def _gross(self) -> bool:
        verdict = self.verdict
        return not self.over and verdict is not None and verdict.outcome is Outcome.FAIL

    def _longer(self, needed_s: float) -> str | None:
        """Return how much longer, in whole steps of five minutes, so that it is typed as it is read."""
        longest = self.hand.stage.bounds("hold_s").high
        more = max(300.0, -(-(needed_s - self.hand.plan.hold_s) // 300) * 300)
        return duration(more) if self.hand.plan.hold_s + more <= longest else None

    # --- what a line does ------------------------------------------------------------------------------------

    def deed(self, text: str) -> Deed:
        """Return what a line does.

        Raises
        ------
        CommissionError
            If it cannot be understood.
        """
        refuse_renamed(text, {"abandon": "abort"})
        live = LIVE if self.live.on or self.live.offered else {}
        word, rest = command(text, {**WORDS, **live})
        match word:
            case "end" | "undo":
                return self.asking.deed(word, rest)
            case "note":
                return note_deed(self.hand, rest)
            case "at":
                return late_deed(self.hand, rest)
            case "extend":
                return extend_deed(self.hand, rest)
            case "live":
                return self.live.begin_deed(rest)
            case "hand":
                return self.live.end_deed()
            case "abort":
                return Deed(told="abort the hold: it becomes invalid", do=lambda: self.asking.ask("abort"))
            case _:
                return reading_deed(self.hand, text)

    # --- the end ---------------------------------------------------------------------------------------------

    def _early(self) -> str:
        """Ask whether to end before the planned end; empty where it is reached, or the leak is proven."""
        if self.over or self._gross():
            return ""
        left = max(0.0, (self.hand.hold.end_s or 0.0) - self.elapsed_s)
        return f"End it {duration(left)} before its planned end? Enter ends and judges it."

    @property
    def _fast(self) -> bool:
        """Whether it fell so fast that the rig or a joint is to be looked at."""
        return fell_fast(self.hand.hold) is not None

    def _on_early(self) -> str:
        if self._fast:
            return "Right with a fall like this: the search comes next. Esc: keep holding."
        return "An early end rarely decides. Esc: keep holding."

    def _close(self) -> Outcome:
        self.live.end()
        return self.hand.work.close(self.hand.build_id).outcome

    def _why_aborted(self) -> Question:
        def do(why: str) -> str:
            self.hand.work.read(self.hand.build_id, pressure=None, note=f"broken off: {why}")
            self.live.end()
            verdict = self.hand.work.close(self.hand.build_id, Ending.ABANDONED)
            self.asking.back()
            return f"the hold is ended: {verdict.outcome.upper()}"

        return asked_text(
            some_text("a reason"),
            do,
            key="abort",
            ask="Why is the hold aborted? It becomes invalid and another is needed.",
            hint="Esc goes on with the hold.",
        )

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the verdict so far."""
        verdict, hold = self.verdict, self.hand.hold
        usual = usual_units(self.hand.plan)
        line, missing = None, "a second reading, and the time to the planned end"
        if verdict is not None and verdict.reasons and verdict.reasons[0].code != "too_few_readings":
            line = VerdictLine(word=course(verdict), text=so_far(verdict, usual), final=verdict.outcome is Outcome.FAIL)
            missing = self._missing(verdict)
        count, fast = sum(one.reading.pressure is not None for one in hold.readings), fell_fast(hold)
        if fast is not None and not self._gross():
            missing = "no more time: type end, let the pressure down, search for the leak"
        return replace(
            card,
            step=f"{count} typed" if count else "running",
            figures=chosen(figures_of(verdict, self.hand.plan.gauge), WHILE_RUNNING) if line and verdict else (),
            verdict=line,
            missing=missing,
            remarks=self._remarks(),
            notices=(*card.notices, *((self.live.remark(),) if self.live.told else ())),
            safety=() if fast is None else (self._falls(*fast),),  # there it is never cut
            assumed=assumed_text(self.hand.plan),
            plot=self.picture is not None,
            clock=True,
        )

    def _falls(self, fell_pa: float, in_s: float) -> str:
        told = f"{difference(fell_pa, self.hand.plan.gauge.unit)} fell in {duration(in_s)}"
        return f"Warning: {told}, far more than settling makes. Look and listen at rig and joints now, hands off."

    def _missing(self, verdict: "HoldVerdict") -> str:
        if self._gross():
            return ""
        if not self.over:
            left = (self.hand.hold.end_s or 0.0) - self.elapsed_s
            return f"{forecast(left)} more, with readings to the planned end"
        if verdict.outcome is Outcome.INCONCLUSIVE and verdict.hold_needed_s is not None:
            return f"a hold of {forecast(verdict.hold_needed_s)} in all would decide at this rate"
        return ""

    def _remarks(self) -> tuple[str, ...]:
        hold = self.hand.hold
        if hold.started is None:
            return ()
        said = [say(remark) for remark in remarks_on_time(hold, self.hand.book.clock.now())]
        if self.live.on and not self.live.told:
            said.insert(0, self.live.remark())
        if self.hand.plan.limit_pa_m3_s and self.elapsed_s < (self.hand.plan.settle_s or 0.0):
            said.insert(0, f"Settling: readings count from {duration(self.hand.plan.settle_s or 0.0)} after the start.")
        if hold.looks > 1:
            said.append(f"Extended: it is judged {hold.looks} times, which the bounds allow for.")
        return tuple(said)
