"""Before the hold runs: each caution by itself, each step by itself, and the first reading that starts the clock."""

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.domain.errors import InputError, NotAllowed
from commission.domain.loop import weakest_part
from commission.tui.flows.ask import Question, command, one_word
from commission.tui.flows.figures import energy, pressure
from commission.tui.flows.hold_attempts import attempt_figures
from commission.tui.flows.hold_plan import rows, stored_joule
from commission.tui.flows.reading_line import Line, fields_of, read_line
from commission.tui.widgets.bench_card import CardContent, Figure
from commission.tui.widgets.do_now import Prompt

OVER = 0.02
"""Share of a rating by which a reading may be over it, for the error of the gauge [1]; common practice, no source."""

if TYPE_CHECKING:
    from commission.procedure.model import Step
    from commission.tui.flows.hold_base import HoldBase


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
        return self._start()

    def card(self, card: CardContent) -> CardContent:
        """Return the card with what is known of the plan."""
        flow, plan = self.flow, self.flow.state.hold.plan
        total = len(flow.stage.steps) + 1
        if plan is None:
            left = len(flow.book.hold.missing_cautions(flow.state))
            return replace(
                card,
                step=f"{len(card.cautions) - left + 1} of {len(card.cautions)}",
                figures=attempt_figures(flow.state),
            )
        done = total - 1 - len(flow.book.hold.missing_steps(flow.state))
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
        weakest = weakest_part(self.flow.state.parts)
        if weakest is None or weakest.max_gauge_pa is None:
            return ("Caution: no part has a rating on the build sheet; ask each maker before you pump.",)
        return (f"Never above {pressure(weakest.max_gauge_pa, 'bar')}: the rating of {weakest.name}.",)

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

    def _start(self) -> Question:
        flow, plan = self.flow, self.flow.state.hold.plan
        if plan is None:
            raise NotAllowed("the hold has no plan yet")
        fields = fields_of(plan)
        expected = {"gauge": plan.target_gauge_pa}

        def understand(text: str) -> str:
            if command(text, ("plan",))[0]:
                return "back to the plan"
            line = read_line(text, plan, expected)
            gauge = line.of("gauge")
            far = gauge is not None and not 0.8 <= gauge.si / plan.target_gauge_pa <= 1.2
            return line.told + (f" (planned {pressure(plan.target_gauge_pa, plan.gauge.unit)})" if far else "")

        def act(text: str) -> str:
            if command(text, ("plan",))[0]:
                flow.reopen_plan()
                return ""
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
    _refuse_above_rating(flow, line.of("gauge"))
    flow.book.hold.start(flow.build_id)
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
    from commission.tui.flows.reading_line import example

    return example(plan)


def _refuse_above_rating(flow: "HoldBase", gauge: object) -> None:
    from commission.domain.quantity import Measured, Quantity

    weakest = weakest_part(flow.state.parts)
    if weakest is None or weakest.max_gauge_pa is None or not isinstance(gauge, Measured):
        return
    if gauge.quantity is Quantity.GAUGE_PRESSURE and gauge.si > weakest.max_gauge_pa * (1 + OVER):
        raise NotAllowed(
            f"that is above the rating of {weakest.name}, {pressure(weakest.max_gauge_pa, 'bar')}: "
            "let pressure off first, then type what the gauge shows"
        )
