"""While the hold runs: readings one a line, the verdict so far, and the end."""

import math
import time
from dataclasses import replace
from typing import TYPE_CHECKING

from commission.base.errors import InputError, NotAllowed
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.bench.ask import Question, command, some_text
from commission.bench.card import CardContent, VerdictLine
from commission.bench.clock_times import ClockTimes
from commission.bench.figures import clock_time, duration, rate
from commission.bench.prompt import Prompt
from commission.stages.pressure_hold.card import asides as hold_asides
from commission.stages.pressure_hold.entries import Ending, HoldPlan
from commission.stages.pressure_hold.lines.reading import Line, example, fields_of, read_line, seen_at
from commission.stages.pressure_hold.rows.verdict import short_figures, so_far, usual_units
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.work.times import remarks_on_time
from commission.units.parse import parse
from commission.units.show import say, show

if TYPE_CHECKING:
    from commission.stages.pressure_hold.card.base import HoldBase
    from commission.stages.pressure_hold.model import HoldPicture, HoldVerdict

WORDS = ("end", "undo", "note", "at", "extend", "abandon")
"""What may be typed in place of a reading."""

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

    def __init__(self, flow: "HoldBase") -> None:
        self.flow = flow
        self.asking = ""
        self._verdict: HoldVerdict | None = None
        self._looked_at = -math.inf
        self._took_s = 0.0
        self._basis: tuple[int, int, bool] | None = None

    # --- time ------------------------------------------------------------------------------------------------

    @property
    def plan(self) -> HoldPlan:
        """The plan it runs under."""
        plan = hold_of(self.flow.state).plan
        if plan is None:
            raise NotAllowed("the hold has no plan")
        return plan

    @property
    def elapsed_s(self) -> float:
        """How long it has run [s]."""
        return self.flow.book.hold.elapsed_s(self.flow.state)

    @property
    def over(self) -> bool:
        """Whether the planned end is reached."""
        end = hold_of(self.flow.state).end_s
        return end is not None and self.elapsed_s >= end

    def times(self) -> ClockTimes:
        """Return the times for the clock."""
        elapsed, end = self.elapsed_s, hold_of(self.flow.state).end_s
        last = self.last_s
        due = None if last is None else self.plan.every_s - (elapsed - last)
        if self._streamed:
            due = None
        if end is not None and due is not None:
            due = min(due, end - elapsed) if end > elapsed else due
        settle = self.plan.settle_s or 0.0
        return ClockTimes(
            elapsed_s=elapsed,
            due_in_s=due,
            ends_in_s=None if end is None else end - elapsed,
            settling=elapsed < settle,
        )

    @property
    def _streamed(self) -> bool:
        """Whether an instrument streams samples: then no line need be typed."""
        return self.flow.book.log.last_sample(hold_of(self.flow.state).series) is not None

    @property
    def last_s(self) -> float | None:
        """When the last reading was taken, typed or streamed [s after the start]."""
        typed = [one.elapsed.elapsed_s for one in hold_of(self.flow.state).readings if one.reading.pressure]
        sample = self.flow.book.log.last_sample(hold_of(self.flow.state).series)
        if sample is not None:
            typed.append(sample.elapsed_s)
        return max(typed, default=None)

    def last_pressure(self) -> str:
        """Return what the gauge showed last, ready to read; empty where it was not read yet."""
        gauge = self.plan.gauge
        sample = self.flow.book.log.last_sample(hold_of(self.flow.state).series)
        typed = [one for one in hold_of(self.flow.state).readings if one.reading.pressure]
        si = typed[-1].reading.pressure.si if typed and typed[-1].reading.pressure else None
        later = sample is not None and (not typed or sample.elapsed_s > typed[-1].elapsed.elapsed_s)
        if later and sample is not None and sample.pressure_pa is not None:
            si = sample.pressure_pa
        return "" if si is None else show(si, gauge.quantity, unit=gauge.unit, resolution=gauge.resolution)

    # --- the verdict so far ----------------------------------------------------------------------------------

    def look(self, *, now: bool = False) -> bool:
        """Judge again where something is new and it is not too early for that; return whether it was done."""
        hold = hold_of(self.flow.state)
        sample = self.flow.book.log.last_sample(hold.series)
        basis = (hold.readings[-1].seq if hold.readings else 0, int(sample.elapsed_s) if sample else 0, self.over)
        rested = self._clock_s() - self._looked_at
        if basis == self._basis or (not now and rested < max(SHORTEST_REST_S, REST * self._took_s)):
            return False
        begun = time.monotonic()
        self._verdict = self.flow.book.hold.verdict(self.flow.state)
        self._took_s = time.monotonic() - begun
        self._looked_at, self._basis = self._clock_s(), basis
        return True

    def _clock_s(self) -> float:
        """Return the steady clock of the record [s]: it is wound by hand where time is not to be waited for."""
        return self.flow.book.clock.now().mono_ms / 1000

    @property
    def slow(self) -> bool:
        """Whether judging takes so long that a typed key would wait for it."""
        return self._took_s > SLOW_S

    @property
    def verdict(self) -> "HoldVerdict | None":
        """The verdict so far, as last judged."""
        if self._basis is None:
            self.look(now=True)
        return self._verdict

    @property
    def picture(self) -> "HoldPicture | None":
        """What the curve shows."""
        return self._verdict.picture if self._verdict else None

    # --- questions -------------------------------------------------------------------------------------------

    def back(self) -> bool:
        """Take back a question about the end or a withdrawal."""
        had, self.asking = bool(self.asking), ""
        return had

    def question(self) -> Question:
        """Return what is asked now."""
        match self.asking:
            case "end":
                left = max(0.0, (hold_of(self.flow.state).end_s or 0.0) - self.elapsed_s)
                return hold_asides.really_end(self.flow, left, self._answered)
            case "undo":
                return hold_asides.why_undone(self.flow, self._answered)
            case "abandon":
                return hold_asides.why_abandoned(self.flow, self._answered)
            case _:
                return self._reading()

    def _reading(self) -> Question:
        plan = self.plan
        ask, proposal = self._ask()
        return Question(
            prompt=Prompt(
                key="reading",
                ask=ask,
                hint="or: undo · note … · at 14:05 … · extend 1 h · end · abandon",
                proposal=proposal,
                placeholder="" if proposal else example(plan),
                understand=self._understand,
            ),
            act=self._act,
        )

    def _ask(self) -> tuple[str, str | None]:
        verdict = self.verdict
        if self._gross():
            return "The leak is far beyond the limit already: Enter ends the hold now as failed.", "end"
        if not self.over:
            return f"Type what the instruments show: {self._order()}.", None
        last, end = self.last_s, hold_of(self.flow.state).end_s or 0.0
        if last is None or last < end - LATE * self.plan.hold_s:
            return "The planned time is over: type the last reading, then end.", None
        if verdict is not None and verdict.outcome is Outcome.INCONCLUSIVE and verdict.hold_needed_s is not None:
            longer = self._longer(verdict.hold_needed_s)
            if longer is not None:
                return "The planned time has not decided it. Enter goes on; or type end.", f"extend {longer}"
        return "The planned time is over. Enter ends the hold; or type a last reading first.", "end"

    def _order(self) -> str:
        return ", ".join(field.label for field in fields_of(self.plan))

    def _gross(self) -> bool:
        verdict = self.verdict
        return not self.over and verdict is not None and verdict.outcome is Outcome.FAIL

    def _longer(self, needed_s: float) -> str | None:
        """Return how much longer, in whole steps of five minutes, so that it is typed as it is read."""
        longest = next(limit.high for limit in self.flow.stage.limits if limit.id == "hold_s")
        more = max(300.0, -(-(needed_s - self.plan.hold_s) // 300) * 300)
        return duration(more) if self.plan.hold_s + more <= longest else None

    def _understand(self, text: str) -> str:
        word, rest = command(text, WORDS)
        match word:
            case "end":
                return "end the hold and judge it"
            case "undo":
                return f"withdraw the last reading, {hold_asides.last_reading(self.flow).told}"
            case "note":
                return f"note: {some_text('the note after the word', 400)(rest)}"
            case "at":
                at, line = self._late(rest)
                return f"seen at {clock_time(self.flow.book.clock.now(), at)} · {line.told}"
            case "extend":
                return f"hold {duration(self._extended(rest))} in all, after settling"
            case "abandon":
                return "break off: the hold becomes invalid"
            case _:
                return self._line(text).told

    def _act(self, text: str) -> str:
        flow = self.flow
        word, rest = command(text, WORDS)
        match word:
            case "end" if self._gross():
                return hold_asides.close(flow, Ending.GROSS_LEAK)
            case "end" if self.over:
                return hold_asides.close(flow, Ending.PLANNED)
            case "end" | "undo" | "abandon":
                self.asking = word
                return ""
            case "note":
                flow.book.hold.read(flow.build_id, pressure=None, note=rest)
                return f"note: {rest}"
            case "extend":
                flow.book.hold.extend(flow.build_id, self._extended(rest))
                self._basis = None
                return f"the hold goes on: {duration(self._extended_told())} in all, after settling"
            case "at":
                at, line = self._late(rest)
                return self._store(line, at)
            case _:
                return self._store(self._line(text), None)

    def _store(self, line: Line, observed_ms: int | None) -> str:
        flow = self.flow
        logged = flow.book.hold.read(
            flow.build_id,
            pressure=line.of("gauge"),
            air=line.of("air"),
            barometer=line.of("barometer"),
            note=line.note,
            observed_ms=observed_ms,
        )
        flow.refresh()
        self.look(now=True)
        return f"entry {logged.seq} · {line.told}"

    def _line(self, text: str) -> Line:
        return read_line(text, self.plan, self._expected())

    def _late(self, rest: str) -> tuple[int, Line]:
        at, _, values = rest.partition(" ")
        if not values.strip():
            raise InputError(f"type the time and what was read, such as at 14:05 {example(self.plan)}")
        seen = seen_at(at, self.flow.book.clock.now())
        started = hold_of(self.flow.state).started
        if started is not None and seen < started.mark.wall_ms - 59_999:
            raise InputError(f"{at} lies before the start of the hold, {clock_time(started.mark)}; correct the time")
        return max(seen, started.mark.wall_ms if started else seen), self._line(values)

    def _expected(self) -> dict[str, float]:
        """Return what was read last of each, for questions about slips; the plan's pressure before that."""
        plan, expected = self.plan, {}
        if plan.gauge.quantity is Quantity.GAUGE_PRESSURE:
            expected["gauge"] = plan.target_gauge_pa
        for one in hold_of(self.flow.state).readings:
            reading = one.reading
            for key, value in (("gauge", reading.pressure), ("air", reading.air), ("barometer", reading.barometer)):
                if isinstance(value, Measured):
                    expected[key] = value.si
        return expected

    def _extended(self, rest: str) -> float:
        span = next(limit for limit in self.flow.stage.limits if limit.id == "hold_s")
        more = parse(rest or "30 min", Quantity.DURATION)
        if more.si <= 0 or self.plan.hold_s + more.si > span.high:
            raise InputError(f"type by how much longer, up to {duration(span.high)} in all, such as extend 1 h")
        return self.plan.hold_s + more.si

    def _extended_told(self) -> float:
        self.flow.refresh()
        return self.plan.hold_s

    def _answered(self) -> None:
        """Go on with the hold: the question that was asked back is answered."""
        self.asking, self._basis = "", None

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the verdict so far."""
        verdict, hold = self.verdict, hold_of(self.flow.state)
        usual = usual_units(self.plan)
        line, missing = None, "a second reading, and the time to the planned end"
        if verdict is not None and verdict.reasons and verdict.reasons[0].code != "too_few_readings":
            line = VerdictLine(word=verdict.outcome, text=so_far(verdict, usual))
            missing = self._missing(verdict)
        count = len(hold.readings)
        return replace(
            card,
            step=f"{count} typed" if count else "running",
            figures=short_figures(verdict, self.plan) if line and verdict else (),
            verdict=line,
            missing=missing,
            notices=self._notices(),
            plot=self.picture is not None,
            clock=True,
        )

    def _missing(self, verdict: "HoldVerdict") -> str:
        if self._gross():
            return "nothing: end it, let the pressure down, look for the leak"
        if not self.over:
            left = (hold_of(self.flow.state).end_s or 0.0) - self.elapsed_s
            return f"{duration(left)} to the planned end, with readings up to it"
        if verdict.outcome is Outcome.INCONCLUSIVE and verdict.hold_needed_s is not None:
            return f"a hold of {duration(verdict.hold_needed_s)} in all would decide at this rate"
        return ""

    def _notices(self) -> tuple[str, ...]:
        hold = hold_of(self.flow.state)
        if hold.started is None:
            return ()
        said = [say(remark) for remark in remarks_on_time(hold, self.flow.book.clock.now())]
        if self.plan.limit_pa_m3_s and self.elapsed_s < (self.plan.settle_s or 0.0):
            said.append(f"Settling: readings count from {duration(self.plan.settle_s or 0.0)} after the start.")
        if hold.looks > 1:
            said.append(f"Extended: it is judged {hold.looks} times, which the bounds allow for.")
        return tuple(said)

    def summary(self) -> str:
        """Return the running hold in a few words, for the list of builds."""
        verdict = self.verdict
        leak = f", {rate(verdict.leak_rate.value)} so far" if verdict and verdict.leak_rate else ""
        return f"{duration(self.elapsed_s)} of {duration(hold_of(self.flow.state).end_s or 0.0)}{leak}"
