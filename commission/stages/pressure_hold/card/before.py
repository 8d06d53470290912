"""Before the hold runs: each caution by itself, each step by itself, and the first reading that starts the clock."""

from functools import lru_cache
from typing import TYPE_CHECKING

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.text import clip
from commission.bench.ask import Question, asked_once, command, with_reader
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.bench.figures import volume
from commission.procedure.model import When
from commission.record.machine.loop import rating_text
from commission.stages.pressure_hold.entries import Rig
from commission.stages.pressure_hold.rows.attempts import attempt_figures
from commission.stages.pressure_hold.rows.plan import assumed_text, decides_text, ready_rows
from commission.stages.pressure_hold.state.attempt import wet_by_the_record
from commission.stages.pressure_hold.typed.first import first_deed
from commission.stages.pressure_hold.typed.reading import example, to_read
from commission.stages.pressure_hold.typed.source import hint, rig_deed, source_deed

if TYPE_CHECKING:
    from commission.procedure.model import Step
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.entries import HoldPlan

_PLAN = "plan: back to the plan"
_STEP_WORDS = {
    "done": "done and a note: the step is done",
    "plan": _PLAN,
    "rig": "rig own gauge: how pump, valve and gauge are joined",
}
_START_WORDS = {"plan": _PLAN, "source": "source valve shut, line vented: how the source is off"}


class Before:
    """Asks for what must be done before the clock starts."""

    def __init__(self, hand: "HoldAtHand") -> None:
        self.hand = hand
        self.dry_after = 0
        """Number of the last entry that moved coolant when the loop was said to be drained and dried; 0: not said."""
        self.decides = lru_cache(maxsize=4)(self._decides)

    def back(self) -> bool:
        """Nothing here is half answered."""
        return False

    def question(self) -> Question:
        """Return the first caution, else the first step, that is not done; else the start."""
        hand = self.hand
        if self.wet:
            return self._drained()
        if hand.work.missing_cautions(hand.state, When.BEFORE_PRESSURE):
            return self._caution()
        steps = hand.work.missing_steps(hand.state)
        if steps:
            return self._step(hand.step_of(steps[0]))
        return self._source() if hand.hold.source is None else self._start()

    def card(self, card: CardContent) -> CardContent:
        """Return the card with what is known of the plan."""
        hand, plan = self.hand, self.hand.hold.plan
        if plan is None:
            return replace(card, step=hand.caution_step(When.BEFORE_PRESSURE), figures=attempt_figures(hand.state))
        card = replace(card, assumed=assumed_text(plan))
        if hand.work.missing_cautions(hand.state, When.BEFORE_PRESSURE):
            card = replace(card, step=hand.caution_step(When.BEFORE_PRESSURE))
            return replace(card, figures=ready_rows(plan), notices=self._notices(), remarks=self._forecast(plan))
        steps, answered = len(hand.stage.steps), hand.hold.source is not None
        done = steps - len(hand.work.missing_steps(hand.state)) + answered
        card = replace(card, step=f"{done + 1} of {steps + 2}", figures=ready_rows(plan))
        return replace(card, notices=self._notices(), remarks=self._forecast(plan))

    def _forecast(self, plan: "HoldPlan") -> tuple[str, ...]:
        """Return what a plan that was assumed can decide, and when."""
        return (self.decides(plan),) if plan.assumed else ()

    def _decides(self, plan: "HoldPlan") -> str:
        """Return what a plan that nobody looked at can decide, as a sentence."""
        said = decides_text(self.hand.work.capability(self.hand.state, plan))
        return f"{said[0].upper()}{said[1:]}."

    def _notices(self) -> tuple[str, ...]:
        state = self.hand.state
        out = tuple(part.name for part in state.parts if part.part_id in state.left_out)
        left_out = (f"Left out of the test: {', '.join(out)}. No pressure may reach it.",) if out else ()
        if wet_by_the_record(state):
            left_out = (
                "As logged coolant is in the loop. A hold takes it as drained: the fill begins again.",
                *left_out,
            )
        if not state.tested_parts:
            return (
                "Caution: no part is on the list, so no rating is known; ask each maker before you pump.",
                *left_out,
            )
        return (f"Never above the rating of the weakest part: {rating_text(state.tested_parts)}.", *left_out)

    # --- questions -------------------------------------------------------------------------------------------

    @property
    def wet(self) -> bool:
        """Whether the loop holds coolant by the record, and nobody said that it is drained and dried."""
        return wet_by_the_record(self.hand.state) and self.dry_after < self._last_wetted

    @property
    def _last_wetted(self) -> int:
        return max((entry.seq for entry in self.hand.state.wetted), default=0)

    def _drained(self) -> Question:
        """Ask for the drain before anything else; Enter must not answer it, and it is not stored: a caution is."""
        held = self.hand.state.coolant_m3
        what = f"{volume(held)} of coolant is" if held > 0 else "coolant is"

        def dry() -> None:
            self.dry_after = self._last_wetted

        def deed(text: str) -> Deed:
            word, rest = command(text, ("note",))
            if word:
                return self.hand.note_deed(rest)
            if text.strip().casefold() != "dry":
                raise InputError(f"{clip(text.strip())} is not the word: type dry once the loop is drained and dried")
            return Deed(told="the loop is drained and dried", do=dry)

        return asked_once(
            deed,
            key="drained",
            ask=f"As logged {what} in the loop. Drain and dry it. Once it is so, type: dry",
            hint="this hold is on air: coolant left inside takes room and hides a leak; the fill begins again",
            placeholder="dry",
        )

    def _caution(self) -> Question:
        """Ask for the first caution; ``plan`` goes back to the plan, which the card beside it names."""
        asked = self.hand.ask_caution(When.BEFORE_PRESSURE)
        if self.hand.hold.plan is None:
            return asked

        def deed(text: str) -> Deed:
            word, rest = command(text, ("plan",))
            return self._to_the_plan() if word and not rest else asked.deed(text)

        return with_reader(replace(asked.prompt, hint=f"{asked.prompt.hint} · plan"), deed)

    def _rigs(self) -> str:
        """Return how another rig is described, at the step that connects it."""
        if self.hand.hold.steps:
            return ""
        return " · no valve: rig own gauge" if self.hand.hold.rig is Rig.VALVED else " · with a valve: rig valve"

    def _step(self, step: "Step") -> Question:
        valved = self.hand.hold.rig is Rig.VALVED

        def deed(text: str) -> Deed:
            word, rest = command(text, _STEP_WORDS)
            if not word:
                raise InputError(
                    "do it, then press Enter on the empty line; done and a note, or plan to change the plan"
                )
            if word == "rig":
                return rig_deed(self.hand, rest)
            if word == "plan":
                return self._to_the_plan()
            return self.hand.step_deed(step.id, rest, told=f"done{f', note: {rest}' if rest else ''}")

        return asked_once(
            deed,
            key=f"step {step.id}",
            ask=step.do if valved else step.own_gauge or step.do,
            hint=f"good: {step.good if valved else step.own_gauge_good or step.good}{self._rigs()}",
            proposal="done",
            placeholder="Enter once it is done",
        )

    def _to_the_plan(self) -> Deed:
        return Deed(told="back to the plan", do=self.hand.reopen_plan)

    def _source(self) -> Question:
        """Ask how the source is off; there is no proposal, for Enter must not answer it."""
        rig = self.hand.hold.rig
        return asked_once(
            lambda text: source_deed(self.hand, text),
            key="source",
            ask="How is the source off? A source that seeps in hides a leak."
            if rig is Rig.VALVED
            else "What stands behind the pump? A live source feeds a leak and hides it.",
            hint=hint(rig),
            placeholder="type 1: nothing can seep in" if rig is Rig.VALVED else "type 1; 2 is refused: it feeds a leak",
        )

    def _start(self) -> Question:
        hand, plan = self.hand, self.hand.hold.plan
        if plan is None:
            raise NotAllowed("the hold has no plan yet")

        def deed(text: str) -> Deed:
            match command(text, _START_WORDS):
                case "plan", _:
                    return self._to_the_plan()
                case "source", rest:
                    return source_deed(hand, rest, lead="source: ")
                case _:
                    return first_deed(hand, plan, text)

        return asked_once(
            deed,
            key="start",
            ask=f"{to_read(plan)} The clock starts with it.",
            hint=f"such as {example(plan)}",
            placeholder=example(plan),
        )
