"""Plans a hold: the volume, the instruments, then one change a line while the card says what the plan can decide."""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.quantity import Phrase, Quantity
from commission.bench.ask import Question, command
from commission.bench.card import CardContent, Figure, VerdictLine
from commission.bench.figures import duration, loop_volume, rate
from commission.bench.instrument.face_form import FaceForm
from commission.bench.instrument.form import InstrumentForm
from commission.bench.prompt import Prompt
from commission.bench.volume_form import REFERENCE, STROKES, VolumeForm
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.loop import LoopVolume
from commission.stages.pressure_hold.card import plan as hold_plan
from commission.stages.pressure_hold.entries import HoldPlan
from commission.stages.pressure_hold.lines.volume import known_question, says_how_known, typed_volume
from commission.stages.pressure_hold.rows.verdict import usual_units
from commission.stages.pressure_hold.state.attempt import hold_of, judged_hold
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.pressure_hold.card.base import HoldBase
    from commission.stages.pressure_hold.model import Capability

_OFFERED = (InstrumentKind.THERMOMETER, InstrumentKind.BAROMETER)
_WHY = {
    InstrumentKind.THERMOMETER: "Is there a thermometer at the loop? A warming room looks like no leak, a cooling one "
    "like a leak.",
    InstrumentKind.BAROMETER: "Is there a barometer at the bench? The gauge reads against the weather.",
}


class Planning:
    """Asks for the volume and the instruments where they are not known, then for the plan."""

    def __init__(self, flow: "HoldBase") -> None:
        self.flow = flow
        self.form: InstrumentForm | VolumeForm | FaceForm | None = None
        self.declined: set[InstrumentKind] = set()
        self.time_typed = False
        """Whether somebody typed how long to hold; until then the plan takes the time that decides."""
        self.typed_volume = ""
        """A volume that was typed without saying how it is known; empty where none was."""
        self.capability = lru_cache(maxsize=16)(self._capability)
        self.blind_s = lru_cache(maxsize=16)(self._blind_s)

    def back(self) -> bool:
        """Leave a half-answered form, or a plan that was reopened."""
        if self.form is not None:
            if not self.form.back():
                self.form = None
            return True
        if self.typed_volume:
            self.typed_volume = ""
            return True
        was_open, self.flow.plan_open = self.flow.plan_open, False
        if was_open:
            self.flow.plan_draft = None
        return was_open

    def question(self) -> Question:
        """Return what is asked now."""
        self._take_from_form()
        if self.form is not None:
            return self.form.question()
        if self._loop() is None:
            return known_question(self.typed_volume, self._take_volume) if self.typed_volume else self._volume()
        if self._draft() is None:
            self.form = self._instrument_form(hold_plan.GAUGES)
            return self.form.question()
        plan = self._draft()
        if plan is not None and not plan.gauge.face_asked:
            self.form = FaceForm(plan.gauge, self._describe_anew)
            return self.form.question()
        for kind in _OFFERED:
            if kind not in self.declined and not self._has(kind) and judged_hold(self.flow.state) is None:
                return self._offer(kind)
        return self._plan()

    # --- what is known so far --------------------------------------------------------------------------------

    def _take_from_form(self) -> None:
        if isinstance(self.form, VolumeForm) and self.form.stored:
            self.flow.refresh()
            self.flow.volume_draft, self.form = self.flow.state.measured, None
            if self.flow.plan_draft is not None and self.flow.volume_draft is not None:
                self.flow.plan_draft = hold_plan.changed(
                    self.flow.plan_draft, "volume measured", self.flow.stage, self.flow.shop, self.flow.volume_draft
                )
        if isinstance(self.form, FaceForm) and self.form.done:
            gauge, self.form = self.form.gauge, None
            self.flow.refresh()
            if self.flow.plan_draft is not None:
                self.flow.plan_draft = self._deciding(hold_plan.with_instrument(self.flow.plan_draft, gauge))
        if isinstance(self.form, InstrumentForm) and self.form.stored is not None:
            new, self.form = self.form.stored, None
            self.flow.refresh()
            if self.flow.plan_draft is not None:
                self.flow.plan_draft = self._deciding(hold_plan.with_instrument(self.flow.plan_draft, new))

    def _describe_anew(self, gauge: Instrument) -> None:
        """Describe the gauge under its own id, now that its face is known; one out of use only stands in the plan."""
        if any(one.instrument_id == gauge.instrument_id for one in self.flow.shop.instruments):
            self.flow.book.add_instrument(gauge)

    def _loop(self) -> LoopVolume | None:
        """Return the volume that was chosen, measured, or held before; None where it must be asked for."""
        before = self.flow.last_plan
        judged = judged_hold(self.flow.state)
        if self.flow.volume_draft is None and before is not None and (judged is None or judged.stale_by is None):
            self.flow.volume_draft = LoopVolume(
                volume_m3=before.volume_m3, u_volume_m3=before.u_volume_m3, basis=before.volume_basis
            )
        return self.flow.volume_draft or self.flow.state.measured

    def _draft(self) -> HoldPlan | None:
        loop = self._loop()
        if self.flow.plan_draft is None and loop is not None:
            self.flow.plan_draft = hold_plan.first_plan(self.flow.stage, self.flow.shop, loop, self.flow.last_plan)
            if self.flow.plan_draft is not None:
                fresh = self.flow.last_plan is None
                draft = self.flow.plan_draft
                self.flow.plan_draft = self._deciding(draft) if fresh else self._longer(draft)
        return self.flow.plan_draft

    def _deciding(self, plan: HoldPlan) -> HoldPlan:
        """Return the plan with the time that decides, unless a time was typed."""
        if self.time_typed or hold_of(self.flow.state).plan is not None:
            return plan
        return self.flow.book.hold.deciding(self.flow.state, plan)

    def _changed(self, plan: HoldPlan, text: str) -> HoldPlan:
        """Return the plan after one line; its time follows until a time is typed."""
        new = hold_plan.changed(plan, text, self.flow.stage, self.flow.shop, self.flow.state.tested_volume)
        return new if hold_plan.is_time(text) else self._deciding(new)

    def _longer(self, plan: HoldPlan) -> HoldPlan:
        """After a hold that did not decide, propose the time that would."""
        judged = judged_hold(self.flow.state)
        closed = judged.verdict_entry if judged else None
        needed = closed.verdict.hold_needed_s if closed and hold_of(self.flow.state).plan is None else None
        if needed is None or needed <= plan.hold_s:
            return plan
        longest = next(limit.high for limit in self.flow.stage.limits if limit.id == "hold_s")
        return replace(plan, hold_s=min(longest, -(-needed // 300) * 300))

    def _has(self, kind: InstrumentKind) -> bool:
        return any(one.kind is kind for one in self.flow.shop.instruments)

    def _instrument_form(self, kinds: tuple[InstrumentKind, ...]) -> InstrumentForm:
        procedure = self.flow.book.procedure(self.flow.state)
        target = self.flow.plan_draft.target_gauge_pa if self.flow.plan_draft else None
        return InstrumentForm(
            self.flow.book, self.flow.stage, procedure.typical_instruments, kinds=kinds, target_gauge_pa=target
        )

    # --- questions -------------------------------------------------------------------------------------------

    def _take_volume(self, loop: LoopVolume) -> None:
        self.flow.volume_draft, self.typed_volume = loop, ""

    def _volume(self) -> Question:
        flow, loop = self.flow, self.flow.state.tested_volume
        ways = {"strokes": STROKES, "reference": REFERENCE}

        def understand(text: str) -> str:
            word = text.strip().casefold()
            if word == "parts" and loop is not None:
                return f"{loop_volume(loop)}"
            if word in ways:
                return f"measure it on air, by {ways[word]}"
            if not says_how_known(text):
                typed_volume(text)
                return f"{text.strip()}, and how it is known is asked next"
            return loop_volume(typed_volume(text))

        def act(text: str) -> str:
            word = text.strip().casefold()
            if word in ways:
                self.form = VolumeForm(flow.book, flow.build_id, ways[word], flow.shop)
                return ""
            if word == "parts" and loop is not None:
                self.flow.volume_draft = loop
            elif says_how_known(text):
                self.flow.volume_draft = typed_volume(text)
            else:
                self.typed_volume = text.strip()
            return ""

        return Question(
            prompt=Prompt(
                key="volume",
                ask="By which volume shall the leak rate be computed?",
                hint="parts (the build sheet) · strokes or reference (measured on air) · or type it: 1.2 L data sheets",
                proposal="parts" if loop is not None else "strokes",
                understand=understand,
            ),
            act=act,
        )

    def _offer(self, kind: InstrumentKind) -> Question:
        words = ("describe", "yes", "none", "no")

        def understand(text: str) -> str:
            word = text.strip().casefold()
            if word not in words:
                raise InputError(f"press Enter to describe the {kind}, or type none to go without")
            return f"describe the {kind}" if word in words[:2] else f"go without a {kind}"

        def act(text: str) -> str:
            if text.strip().casefold() in words[:2]:
                self.form = self._instrument_form((kind,))
            else:
                self.declined.add(kind)
            return ""

        return Question(
            prompt=Prompt(
                key=f"offer {kind}",
                ask=_WHY[kind],
                hint="Enter describes it; type none to go without: the verdict then allows for what nobody saw.",
                proposal="describe",
                understand=understand,
            ),
            act=act,
        )

    def _plan(self) -> Question:
        flow, plan = self.flow, self.flow.plan_draft
        assert plan is not None  # question() saw to it

        def understand(text: str) -> str:
            if text.strip().casefold() == "accept":
                return f"hold {duration(plan.hold_s)} at {hold_plan.rows(plan)[1][1]}, limit {rate(plan.limit_pa_m3_s)}"
            form = self._form_for(text)
            if form is not None:
                return "a form opens"
            return hold_plan.told(self._changed(plan, text), text)

        def act(text: str) -> str:
            if text.strip().casefold() == "accept":
                flow.book.hold.plan(flow.build_id, plan)
                flow.plan_open, flow.plan_draft = False, None
                return "the plan of the hold"
            form = self._form_for(text)
            if form is not None:
                self.form = form
                return ""
            new = self._changed(plan, text)
            self.time_typed |= hold_plan.is_time(text)
            self.flow.plan_draft = new
            return ""

        return Question(
            prompt=Prompt(
                key="plan",
                ask="Is this the plan? Enter accepts it; or change one thing a line.",
                hint="such as: time 1 h · limit strict · limit 5e-3 mbar·L/s · pressure 0.4 bar · thermometer none",
                proposal="accept",
                understand=understand,
            ),
            act=act,
        )

    def _form_for(self, text: str) -> InstrumentForm | VolumeForm | None:
        word, rest = command(text, hold_plan.WORDS)
        if rest.casefold() == "new":
            kinds = {"gauge": hold_plan.GAUGES, "thermometer": _OFFERED[:1], "barometer": _OFFERED[1:]}
            return self._instrument_form(kinds[word]) if word in kinds else None
        if word == "measure":
            flow = self.flow
            method = REFERENCE if rest.casefold().startswith("ref") else STROKES
            return VolumeForm(flow.book, flow.build_id, method, flow.shop)
        return None

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with what the plan can decide."""
        self._take_from_form()
        if self.form is not None:
            notices = self.form.notices() if isinstance(self.form, InstrumentForm) else ()
            figures = () if isinstance(self.form, FaceForm) else self.form.figures()
            return replace(card, step=self._step(), figures=figures, notices=notices)
        loop = self._loop()
        plan = self._draft() if loop is not None else None
        if plan is None:
            known = self.flow.state.tested_volume
            figures = (Figure(label="loop volume", value=loop_volume(known)),) if known else ()
            return replace(card, step=self._step(), figures=figures)
        return self._with_capability(card, plan)

    def _step(self) -> str:
        return "volume" if isinstance(self.form, VolumeForm) or self._loop() is None else "plan"

    def _with_capability(self, card: CardContent, plan: HoldPlan) -> CardContent:
        able = self.capability(plan)
        usual = usual_units(plan)
        beside = hold_plan.remarks(plan, able)
        figures = [
            *(Figure(label=label, value=value, bounds=beside[label]) for label, value in hold_plan.rows(plan)),
        ]
        warned = self._warnings(plan)
        blind = hold_plan.blind_text(plan, self.blind_s(plan))
        return replace(
            card,
            step="plan",
            figures=tuple(figures),
            verdict=_able_line(able, plan),
            notices=tuple(f"Warning: {say(phrase, usual=usual)}" for phrase in warned),
            reasons=(
                *(_reason(phrase, usual) for phrase in able.reasons),
                blind,
                hold_plan.meaning(plan),
                *hold_plan.class_meanings(),
            ),
        )

    def _warnings(self, plan: HoldPlan) -> list[Phrase]:
        """Return what is wrong with the loop or with the gauge of this plan; other gauges play no part here."""
        sheet, ratio = self.flow.book.sheet, self.flow.stage.limit("gauge_range_ratio")
        loop = sheet.warnings(self.flow.state, plan.target_gauge_pa)
        of_gauge = sheet.gauge_warnings(plan.gauge, plan.target_gauge_pa, ratio)
        found = [*(phrase for phrase in loop if not phrase.code.startswith("gauge_")), *of_gauge]
        return [phrase for phrase in found if phrase is not None]

    def _blind_s(self, plan: HoldPlan) -> float | None:
        return self.flow.book.hold.blind_s(self.flow.state, plan)

    def _capability(self, plan: HoldPlan) -> "Capability":
        return self.flow.book.hold.capability(self.flow.state, plan)


def _able_line(able: "Capability", plan: HoldPlan) -> VerdictLine:
    word = "can decide" if able.can_decide else "cannot decide yet"
    if able.hold_needed_s is None:
        text = "no hold within two days shows a leak of the limit with this set-up."
    else:
        text = f"{hold_plan.decides_text(able)}; planned {duration(plan.hold_s)}."
    return VerdictLine(word=word, text=text, final=True)


def _reason(phrase: Phrase, usual: Mapping[Quantity, str]) -> str:
    said = say(phrase, usual=usual)
    return f"Widens the bounds: {said[0].lower()}{said[1:]}" if phrase.code.startswith("governed_by") else said
