"""Before the hold runs: each caution by itself, each step by itself, and the first reading that starts the clock."""

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.base.errors import InputError, NotAllowed
from commission.bench.ask import Question, command, one_word
from commission.bench.card import CardContent, Figure
from commission.bench.figures import energy, pressure
from commission.bench.prompt import Prompt
from commission.record.machine.loop import rating_text
from commission.stages.pressure_hold.card.plan import rows, stored_joule
from commission.stages.pressure_hold.card.source import source_of, source_question, told
from commission.stages.pressure_hold.entries import SourceOff
from commission.stages.pressure_hold.lines.reading import Line, fields_of, read_line
from commission.stages.pressure_hold.rows.attempts import attempt_figures
from commission.stages.pressure_hold.state.attempt import hold_of, wet_by_the_record

if TYPE_CHECKING:
    from commission.procedure.model import Step
    from commission.stages.pressure_hold.card.base import HoldBase


class Before:
    """Asks for what must be done before the clock starts."""

    def __init__(self, flow: "HoldBase") -> None:
        self.flow = flow

    def back(self) -> bool:
        """Nothing here is half answered."""
        return False

    def question(self) -> Question:
        """Return the first caution, else the first step, that is not done; else the start."""
        flow = self.flow
        missing = flow.book.hold.missing_cautions(flow.state)
        if missing:
            return self._caution(missing)
        steps = flow.book.hold.missing_steps(flow.state)
        if steps:
            return self._step(next(step for step in flow.stage.steps if step.id == steps[0]))
        if hold_of(flow.state).source is None:
            return source_question(self._isolate)
        return self._start()

    def card(self, card: CardContent) -> CardContent:
        """Return the card with what is known of the plan."""
        flow, plan = self.flow, hold_of(self.flow.state).plan
        total = len(flow.stage.steps) + 2
        if plan is None:
            left = len(flow.book.hold.missing_cautions(flow.state))
            return replace(
                card,
                step=f"{len(card.cautions) - left + 1} of {len(card.cautions)}",
                figures=attempt_figures(flow.state),
            )
        answered = hold_of(flow.state).source is not None
        done = len(flow.stage.steps) - len(flow.book.hold.missing_steps(flow.state)) + answered
        stored, _, pictured = energy(stored_joule(plan.volume_m3, plan.target_gauge_pa)).partition(", ")
        figures = [
            Figure(
                label="stored energy",
                value=stored,
                bounds=pictured,
            ),
            *(Figure(label=label, value=value) for label, value in rows(plan)[:5]),
        ]
        return replace(card, step=f"{done + 1} of {total}", figures=tuple(figures), notices=self._notices())

    def _notices(self) -> tuple[str, ...]:
        state = self.flow.state
        out = tuple(part.name for part in state.parts if part.part_id in state.left_out)
        left_out = (f"Left out of the test: {', '.join(out)}. No pressure may reach it.",) if out else ()
        if wet_by_the_record(state):
            left_out = (
                "By the record coolant is in the loop. A hold takes it as drained: the fill begins again.",
                *left_out,
            )
        if not state.tested_parts:
            return (
                "Caution: no part is on the list, so no rating is known; ask each maker before you pump.",
                *left_out,
            )
        return (f"Never above the rating of the weakest part: {rating_text(state.tested_parts)}.", *left_out)

    # --- questions -------------------------------------------------------------------------------------------

    def _caution(self, missing: tuple[str, ...]) -> Question:
        flow = self.flow
        caution = next(one for one in flow.stage.cautions if one.id == missing[0])
        left = len(missing)

        def act(_: str) -> str:
            text = flow.caution_text(caution)
            flow.book.hold.acknowledge(flow.build_id, caution.id, text)
            return f"{left - 1} more to answer" if left > 1 else "all cautions are answered"

        return Question(
            prompt=Prompt(
                key=f"caution {caution.id}",
                ask="Read the caution marked now, and do what it says.",
                hint="Each one is answered by itself: press Enter once you have.",
                proposal="read",
                understand=one_word("read", "yes", "ok", "done"),
            ),
            act=act,
        )

    def _step(self, step: "Step") -> Question:
        flow = self.flow

        def understand(text: str) -> str:
            word, rest = command(text, ("done", "plan"))
            if not word:
                raise InputError(
                    "do it, then press Enter on the empty line; done and a note, or plan to change the plan"
                )
            return "back to the plan" if word == "plan" else f"done{f', note: {rest}' if rest else ''}"

        def act(text: str) -> str:
            word, rest = command(text, ("done", "plan"))
            if word == "plan":
                flow.reopen_plan()
                return ""
            flow.book.hold.do_step(flow.build_id, step.id, rest)
            return f"step done: {step.id.replace('_', ' ')}"

        return Question(
            prompt=Prompt(
                key=f"step {step.id}",
                ask=step.do,
                hint=f"good: {step.good}",
                proposal="done",
                placeholder="Enter once it is done",
                understand=understand,
            ),
            act=act,
        )

    def _isolate(self, how: SourceOff) -> None:
        self.flow.book.hold.isolate(self.flow.build_id, how)

    def _start(self) -> Question:
        flow, plan = self.flow, hold_of(self.flow.state).plan
        if plan is None:
            raise NotAllowed("the hold has no plan yet")
        fields = fields_of(plan)
        expected = {"gauge": plan.target_gauge_pa}

        def understand(text: str) -> str:
            word, rest = command(text, ("plan", "source"))
            if word:
                return "back to the plan" if word == "plan" else f"source: {told(source_of(rest))}"
            line = read_line(text, plan, expected)
            gauge = line.of("gauge")
            far = gauge is not None and not 0.8 <= gauge.si / plan.target_gauge_pa <= 1.2
            return line.told + (f" (planned {pressure(plan.target_gauge_pa, plan.gauge.unit)})" if far else "")

        def act(text: str) -> str:
            word, rest = command(text, ("plan", "source"))
            if word == "plan":
                flow.reopen_plan()
                return ""
            if word:
                self._isolate(source_of(rest))
                return f"source: {told(source_of(rest))}"
            return _begin(flow, read_line(text, plan, expected))

        return Question(
            prompt=Prompt(
                key="start",
                ask="Type the first reading: the clock starts with it.",
                hint=f"{' '.join(field.label for field in fields)}, such as {line_example(flow)}",
                placeholder=line_example(flow),
                understand=understand,
            ),
            act=act,
        )


def _begin(flow: "HoldBase", line: Line) -> str:
    """Start the clock and record the first reading."""
    flow.book.hold.start(flow.build_id, gauge=line.of("gauge"), barometer=line.of("barometer"))
    flow.book.hold.read(
        flow.build_id,
        pressure=line.of("gauge"),
        air=line.of("air"),
        barometer=line.of("barometer"),
        note=line.note,
    )
    flow.again = False
    return f"the hold runs · {line.told}"


def line_example(flow: "HoldBase") -> str:
    """Return a line of readings as the instruments of the plan would give it."""
    plan = flow.last_plan
    if plan is None:
        return ""
    from commission.stages.pressure_hold.lines.reading import example

    return example(plan)
