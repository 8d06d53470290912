"""Plans a hold: the volume, the instruments, then one change a line while the card says what the plan can decide."""

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.quantity import Phrase, Quantity
from commission.bench.ask import Question, asked_once, command
from commission.bench.card import CardContent, VerdictLine
from commission.bench.deed import Deed
from commission.bench.figures import duration, loop_volume, pressure, rate
from commission.bench.instrument.face_form import FaceForm
from commission.bench.instrument.form import InstrumentForm
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.loop import LoopVolume, gauge_warnings
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.card import plan as hold_plan
from commission.stages.pressure_hold.card.volume_form import REFERENCE, STROKES, VolumeForm
from commission.stages.pressure_hold.entries import HoldPlan
from commission.stages.pressure_hold.rows.plan import (
    blind_text,
    class_meanings,
    decides_text,
    meaning,
    plan_pairs,
    plan_rows,
    shorter_text,
    volume_rows,
)
from commission.stages.pressure_hold.rows.verdict import usual_units
from commission.stages.pressure_hold.state.attempt import judged_hold
from commission.stages.pressure_hold.typed.volume import known_question, says_how_known, typed_volume
from commission.stages.pressure_hold.work.plan_rules import as_described
from commission.stages.pressure_hold.work.plans import proposed_plan, shorter_ways
from commission.units.show import say
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.model import Capability

_OFFERED = (InstrumentKind.THERMOMETER, InstrumentKind.BAROMETER)
_WHY = {
    InstrumentKind.THERMOMETER: "Is there a thermometer at the loop? A warming room looks like no leak, a cooling one "
    "like a leak.",
    InstrumentKind.BAROMETER: "Is there a barometer at the bench? The gauge reads against the weather.",
}


class Planning:
    """Asks for the volume and the instruments where they are not known, then for the plan."""

    def __init__(self, hand: "HoldAtHand") -> None:
        self.hand = hand
        self.form: InstrumentForm | VolumeForm | FaceForm | None = None
        self.declined: set[InstrumentKind] = set()
        self.typed: frozenset[str] = frozenset()
        """Which of ``time`` and ``limit`` somebody typed; until then the plan proposes them."""
        self.typed_volume = ""
        """A volume that was typed without saying how it is known; empty where none was."""
        self.capability = lru_cache(maxsize=16)(self._capability)
        self.blind_s = lru_cache(maxsize=16)(self._blind_s)
        self.shorter = lru_cache(maxsize=16)(self._shorter)

    @property
    def on_air(self) -> bool:
        """Whether the loop's volume is being measured: air is pumped in for that."""
        return isinstance(self.form, VolumeForm)

    def back(self) -> bool:
        """Leave a half-answered form, or a plan that was reopened."""
        if self.form is not None:
            if not self.form.back():
                self.form = None
            return True
        if self.typed_volume:
            self.typed_volume = ""
            return True
        was_open, self.hand.plan_open = self.hand.plan_open, False
        if was_open:
            self.hand.plan_draft = None
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
        declined = self.declined | self.hand.shop.without
        for kind in _OFFERED:
            if kind not in declined and not self._has(kind) and judged_hold(self.hand.state) is None:
                return self._offer(kind)
        return self._plan()

    # --- what is known so far --------------------------------------------------------------------------------

    def _take_from_form(self) -> None:
        if isinstance(self.form, VolumeForm) and self.form.stored:
            self.hand.refresh()
            self.hand.volume_draft, self.form = self.hand.state.measured, None
            if self.hand.plan_draft is not None and self.hand.volume_draft is not None:
                self.hand.plan_draft = hold_plan.changed(
                    self.hand.plan_draft, "volume measured", self.hand.stage, self.hand.shop, self.hand.volume_draft
                )
        if isinstance(self.form, FaceForm) and self.form.done:
            gauge, self.form = self.form.gauge, None
            self.hand.refresh()
            if self.hand.plan_draft is not None:
                self.hand.plan_draft = self._deciding(hold_plan.with_instrument(self.hand.plan_draft, gauge))
        if isinstance(self.form, InstrumentForm) and self.form.stored is not None:
            new, self.form = self.form.stored, None
            self.hand.refresh()
            if self.hand.plan_draft is not None:
                self.hand.plan_draft = self._deciding(hold_plan.with_instrument(self.hand.plan_draft, new))

    def _describe_anew(self, gauge: Instrument) -> None:
        """Describe the gauge under its own id, now that its face is known; one out of use only stands in the plan."""
        if any(one.instrument_id == gauge.instrument_id for one in self.hand.shop.instruments):
            self.hand.book.add_instrument(gauge)

    def _loop(self) -> LoopVolume | None:
        """Return the volume that was chosen, measured, or held before; None where it must be asked for."""
        before = self.hand.last_plan
        judged = judged_hold(self.hand.state)
        if self.hand.volume_draft is None and before is not None and (judged is None or judged.stale_by is None):
            self.hand.volume_draft = LoopVolume(
                volume_m3=before.volume_m3, u_volume_m3=before.u_volume_m3, basis=before.volume_basis
            )
        return self.hand.volume_draft or self.hand.state.measured

    def _draft(self) -> HoldPlan | None:
        loop = self._loop()
        if self.hand.plan_draft is None and loop is not None:
            self.hand.plan_draft = hold_plan.first_plan(self.hand.stage, self.hand.shop, loop, self.hand.last_plan)
            if self.hand.plan_draft is not None:
                fresh = self.hand.last_plan is None
                draft = self.hand.plan_draft
                self.hand.plan_draft = self._deciding(draft) if fresh else self._longer(draft)
        elif self.hand.plan_draft is not None:
            self._describe_draft(self.hand.plan_draft)
        return self.hand.plan_draft

    def _describe_draft(self, draft: HoldPlan) -> None:
        """Take the instruments of a draft as they are described by now: they are edited beside it, on F5."""
        now = as_described(draft, self.hand.shop.instruments)
        if now != draft:
            self.hand.plan_draft = self._deciding(now)

    def _deciding(self, plan: HoldPlan, typed: frozenset[str] | None = None) -> HoldPlan:
        """Return the plan with the limit that is proposed and the time that decides, each unless it was typed."""
        typed = self.typed if typed is None else typed
        if self.hand.hold.plan is not None:
            return plan
        if "limit" not in typed and self.hand.plan_before is None:  # a retest keeps the limit of the attempt before
            return proposed_plan(self.hand.book.procedure(self.hand.state), plan, timed="time" in typed)
        return plan if "time" in typed else self.hand.work.deciding(self.hand.state, plan)

    def _changed(self, plan: HoldPlan, text: str) -> tuple[HoldPlan, frozenset[str]]:
        """Return the plan after one line, and what was typed by then; the rest follows."""
        new = hold_plan.changed(plan, text, self.hand.stage, self.hand.shop, self.hand.state.tested_volume)
        typed = self.typed | ({hold_plan.word_of(text)} & {"time", "limit"})
        return self._deciding(new, typed), typed

    def _longer(self, plan: HoldPlan) -> HoldPlan:
        """After a hold that did not decide, propose the time that would."""
        judged = judged_hold(self.hand.state)
        closed = judged.verdict_entry if judged else None
        needed = closed.verdict.hold_needed_s if closed and self.hand.hold.plan is None else None
        if needed is None or needed <= plan.hold_s:
            return plan
        longest = self.hand.stage.bounds("hold_s").high
        return replace(plan, hold_s=min(longest, -(-needed // 300) * 300))

    def _has(self, kind: InstrumentKind) -> bool:
        return any(one.kind is kind for one in self.hand.shop.instruments)

    def _instrument_form(self, kinds: tuple[InstrumentKind, ...]) -> InstrumentForm:
        procedure = self.hand.book.procedure(self.hand.state)
        target = self.hand.plan_draft.target_gauge_pa if self.hand.plan_draft else None
        return InstrumentForm(
            self.hand.book, self.hand.stage, procedure.typical_instruments, kinds=kinds, target_gauge_pa=target
        )

    # --- questions -------------------------------------------------------------------------------------------

    def _take_volume(self, loop: LoopVolume) -> None:
        self.hand.volume_draft, self.typed_volume = loop, ""

    def _keep_typed(self, text: str) -> None:
        self.typed_volume = text

    def _open(self, form: InstrumentForm | VolumeForm) -> None:
        self.form = form

    def _volume(self) -> Question:
        loop = self.hand.state.tested_volume
        return asked_once(
            lambda text: self._volume_deed(text, loop),
            key="volume",
            ask="By which volume shall the leak rate be computed?",
            hint=worded(
                "parts (the parts list) · strokes or reference (measured on air) · or type it: 1.2 L data sheets"
            ),
            proposal="parts" if loop is not None else "strokes",
        )

    def _volume_deed(self, text: str, loop: LoopVolume | None) -> Deed:
        word, ways = text.strip().casefold(), {"strokes": STROKES, "reference": REFERENCE}
        if word == "parts" and loop is not None:
            return Deed(told=loop_volume(loop), do=lambda: self._take_volume(loop))
        if word in ways:
            told = f"measure it on air, by {ways[word]}"
            return Deed(told=told, do=lambda: self._open(self._volume_form(ways[word])))
        typed = typed_volume(text)
        if says_how_known(text):
            return Deed(told=loop_volume(typed), do=lambda: self._take_volume(typed))
        said = text.strip()
        return Deed(told=f"{said}, and how it is known is asked next", do=lambda: self._keep_typed(said))

    def _offer(self, kind: InstrumentKind) -> Question:
        def decline() -> str:
            self.declined.add(kind)
            if kind is not InstrumentKind.BAROMETER:  # a thermometer is cheap and decides much: each build asks
                return ""
            self.hand.book.has_no(kind)
            return f"no {kind} here: asked no more; {kind} new in a plan describes one"

        def deed(text: str) -> Deed:
            match text.strip().casefold():
                case "describe" | "yes":
                    return Deed(told=f"describe the {kind}", do=lambda: self._open(self._instrument_form((kind,))))
                case "none" | "no":
                    return Deed(told=f"go without a {kind}", do=decline)
                case _:
                    raise InputError(f"press Enter to describe the {kind}, or type none to go without")

        return asked_once(
            deed,
            key=f"offer {kind}",
            ask=_WHY[kind],
            hint="Enter describes it. Type none to go without: a verdict then takes longer.",
            proposal="describe",
        )

    def _plan(self) -> Question:
        plan = self.hand.plan_draft
        assert plan is not None  # question() saw to it
        return asked_once(
            lambda text: self._plan_deed(plan, text),
            key="plan",
            ask="Is this the plan? Enter accepts it; or change one thing a line.",
            hint=worded("such as: time 1 h · limit strict · limit 5e-3 mbar·L/s · pressure 0.4 bar · thermometer none"),
            proposal="accept",
        )

    def _plan_deed(self, plan: HoldPlan, text: str) -> Deed:
        if text.strip().casefold() == "accept":
            pressed = plan_pairs(plan)[1][1]
            told = f"hold {duration(plan.hold_s)} at {pressed}, limit {rate(plan.limit_pa_m3_s)}"
            return Deed(told=told, do=lambda: self._accept(plan))
        form = self._form_for(text)
        if form is not None:
            measuring = isinstance(form, VolumeForm)
            return Deed(
                told="measure the loop's volume on air" if measuring else "describe an instrument",
                do=lambda: self._open(form),
            )
        new, typed = self._changed(plan, text)
        return Deed(told=hold_plan.told(new, text), do=lambda: self._change(new, typed))

    def _accept(self, plan: HoldPlan) -> str:
        self.hand.work.plan(self.hand.build_id, plan)
        self.hand.plan_open, self.hand.plan_draft = False, None
        return "the plan of the hold"

    def _change(self, new: HoldPlan, typed: frozenset[str]) -> None:
        self.typed = typed
        self.hand.plan_draft = new

    def _form_for(self, text: str) -> InstrumentForm | VolumeForm | None:
        word, rest = command(text, hold_plan.WORDS)
        if rest.casefold() == "new":
            kinds = {"gauge": hold_plan.GAUGES, "thermometer": _OFFERED[:1], "barometer": _OFFERED[1:]}
            return self._instrument_form(kinds[word]) if word in kinds else None
        if word == "measure":
            return self._volume_form(REFERENCE if rest.casefold().startswith("ref") else STROKES)
        return None

    def _volume_form(self, method: str) -> VolumeForm:
        return VolumeForm(self.hand.book, self.hand.build_id, method, self.hand.shop)

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
            known = self.hand.state.tested_volume
            return replace(card, step=self._step(), figures=volume_rows(known))
        return self._with_capability(card, plan)

    def _step(self) -> str:
        return "volume" if isinstance(self.form, VolumeForm) or self._loop() is None else "plan"

    def _with_capability(self, card: CardContent, plan: HoldPlan) -> CardContent:
        able = self.capability(plan)
        usual = usual_units(plan)
        warned = self._warnings(plan)
        blind = blind_text(plan, self.blind_s(plan))
        warned_text = (*self._unlike_before(plan), *(f"Warning: {say(phrase, usual=usual)}" for phrase in warned))
        return replace(
            card,
            step="plan",
            figures=plan_rows(plan, able),
            verdict=_able_line(able, plan),
            notices=warned_text,
            remarks=self._extended_before(),
            reasons=(
                *filter(None, (shorter_text(self.shorter(plan)),)),
                *(_reason(phrase, usual) for phrase in able.reasons),
                blind,
                meaning(plan),
                *class_meanings(),
            ),
        )

    def _unlike_before(self, plan: HoldPlan) -> tuple[str, ...]:
        """Return what a retest proves otherwise than the attempt before: its limit and its pressure."""
        before = self.hand.plan_before
        if before is None:
            return ()
        unit = plan.gauge.unit
        pairs = (
            ("limit", rate(before.limit_pa_m3_s), rate(plan.limit_pa_m3_s)),
            ("pressure", pressure(before.target_gauge_pa, unit), pressure(plan.target_gauge_pa, unit)),
        )
        return tuple(f"Warning: {what} {now}, the attempt before had {old}." for what, old, now in pairs if now != old)

    def _extended_before(self) -> tuple[str, ...]:
        """Return that the attempt before went on for longer than planned, which this plan does not take over."""
        before, longer = self.hand.plan_before, self.hand.extended_to_s
        if before is None or longer is None or self.hand.hold.plan is not None:
            return ()
        return (f"The attempt before was planned for {duration(before.hold_s)} and extended to {duration(longer)}.",)

    def _warnings(self, plan: HoldPlan) -> list[Phrase]:
        """Return what is wrong with the loop or with the gauge of this plan; other gauges play no part here."""
        sheet, ratio = self.hand.book.work(Sheet), self.hand.stage.limit("gauge_range_ratio")
        loop = sheet.warnings(self.hand.state, plan.target_gauge_pa)
        of_gauge = gauge_warnings(plan.gauge, plan.target_gauge_pa, ratio)
        return [*(phrase for phrase in loop if not phrase.code.startswith("gauge_")), *of_gauge]

    def _blind_s(self, plan: HoldPlan) -> float | None:
        return self.hand.work.blind_s(self.hand.state, plan)

    def _shorter(self, plan: HoldPlan) -> tuple[tuple[str, float], ...]:
        return shorter_ways(self.hand.book.procedure(self.hand.state), plan)

    def _capability(self, plan: HoldPlan) -> "Capability":
        return self.hand.work.capability(self.hand.state, plan)


def _able_line(able: "Capability", plan: HoldPlan) -> VerdictLine:
    word = "can decide" if able.can_decide else "cannot decide yet"
    if able.hold_needed_s is None:
        text = "no hold within two days shows a leak of the limit with this set-up."
    else:
        text = f"{decides_text(able)}; planned {duration(plan.hold_s)}."
    return VerdictLine(word=word, text=text)


def _reason(phrase: Phrase, usual: Mapping[Quantity, str]) -> str:
    said = say(phrase, usual=usual)
    return f"Uncertainty: {said[0].lower()}{said[1:]}" if phrase.code.startswith("governed_by") else said
