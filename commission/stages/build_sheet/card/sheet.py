"""The build sheet: what the loop is made of, what reads it, and what should not be as it is."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.text import clip, counted
from commission.bench.ask import Flow, Question, asked_once, asked_text, command, some_text
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.bench.instrument.form import InstrumentForm
from commission.bench.like import like_deed, other_build
from commission.bench.named_file import named_file
from commission.bench.operator import operator_deed
from commission.procedure.stage_ids import HOLD
from commission.record.ladder import StageState
from commission.record.logbook import Logbook
from commission.record.machine.parts import Part
from commission.stages.build_sheet.card.add import file_deed, part_named, store_draft
from commission.stages.build_sheet.rows import draft_rows, instrument_rows, part_row, total_rows
from commission.stages.build_sheet.typed import PartDraft, another_part, changed, draft_from, draft_of
from commission.stages.build_sheet.work import Sheet
from commission.units.show import say
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.procedure.model import Help

WORDS = {
    "remove": "remove NAME: takes a part off the list",
    "edit": "edit NAME: opens the figures of a part again",
    "instrument": "instrument: describes an instrument",
    "operator": "operator NAME: who works from now on",
    "file": "file NAME: reads the parts of a table",
    "like": "like BUILD: copies parts and plan of another build",
    "done": "done: the list is whole",
}
"""What may be typed in place of a part."""
PROVES = (
    "Know what the loop holds, what it withstands and what touches the coolant: every later stage computes with it."
)


class SheetFlow(Flow):
    """Asks for the parts of a build, one after the other."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__()
        self.book = book
        self.build_id = build_id
        self.draft: PartDraft | None = None
        self.form: InstrumentForm | None = None
        self.removing: Part | None = None
        self._head = -1
        self.refresh()

    def refresh(self) -> None:
        """Read the record again, where anything was added to it."""
        head = self.book.head().seq
        if head == self._head:
            return
        self._head = head
        self.state = self.book.build(self.build_id)
        self.shop = self.book.shop()
        self.procedure = self.book.procedure(self.state)

    def ladder(self) -> tuple[StageState, ...]:
        """Return the stages of the build, each with the word for its state."""
        return self.book.ladder(self.state)

    def back(self) -> bool:
        """Leave what was half typed."""
        if self.form is not None:
            if not self.form.back():
                self.form = None
            return True
        had = self.draft is not None or self.removing is not None
        self.draft = self.removing = None
        return had

    def title(self) -> str:
        """Return where this is."""
        who = f" · {self.shop.operator}" if self.shop.operator else ""
        return f"{self.state.name} · parts list{who}"

    def help(self) -> "Help":
        """Return what there is to know here."""
        from commission.procedure.model import Help

        return Help(
            purpose="The parts of the loop: what they hold and withstand, what touches the coolant. The volume "
            "turns a fall of the gauge into a leak rate; the lowest rating bounds the test pressure.",
            good="Volumes from a data sheet, or from water weighed on a scale. Usual figures are offered and marked "
            "as assumed: they are common practice, and wide.",
            bad="Bare aluminium beside copper, brass or nickel corrodes: take one of them out. If a rating is not "
            "known, ask the maker before you pump. A wrong part is taken out with a reason: remove NAME.",
        )

    def question(self) -> Question | None:
        """Return what is asked now."""
        if self.form is not None and self.form.stored is not None:
            self.form = None
        if self.form is not None:
            return self.form.question()
        if self.removing is not None:
            return self._why_removed(self.removing)
        if not self.shop.operator:
            return self._operator()
        return self._which_part() if self.draft is None else self._figures(self.draft)

    # --- questions -------------------------------------------------------------------------------------------

    def _operator(self) -> Question:
        return asked_once(
            lambda text: operator_deed(self.book, some_text("a name", 80)(text)),
            key="operator",
            ask="Who works at this bench? Type a name; it stands beside every entry.",
        )

    def _which_part(self) -> Question:
        first = not self.state.parts
        like = " · like BUILD" if len(self.book.builds()) > 1 else ""
        return asked_once(
            self._part_deed,
            key="part",
            ask="Type the first part of the loop." if first else "Type the next part; Enter when the list is whole.",
            hint=worded("radiator 360 · 2 x radiator 240 · tube 10/16 1,2 m · reservoir 250 mL · file NAME")
            + (like if first else " · edit NAME · remove NAME"),
            proposal=None if first else "done",
            placeholder="a part, such as: radiator 360" if first else "",
        )

    def _part_deed(self, text: str) -> Deed:
        match command(text, WORDS):
            case "remove", rest:
                part = self._part(rest)
                return Deed(told=f"take out {part.name}", do=lambda: self._take_out(part))
            case "edit", rest:
                known = draft_of(self._part(rest))
                return Deed(told=f"describe again: {known.told()}", do=lambda: self._draft(known))
            case "instrument", _:
                return Deed(told="describe an instrument", do=self._describe)
            case "operator", rest:
                name = some_text("a name after operator", 80)(rest)
                return replace(operator_deed(self.book, name), told=f"from now on: {name}")
            case "file", rest:
                return file_deed(self.book, self.build_id, named_file(rest, "a parts list"))
            case "like", rest:
                return like_deed(self.book, self.build_id, other_build(self.book, self.build_id, rest))
            case "done", _:
                return Deed(told="go to the pressure hold", go=HOLD)
            case _:
                draft = draft_from(text, self.procedure.typical_parts)
                return Deed(told=draft.told(), do=lambda: self._draft(draft))

    def _take_out(self, part: Part) -> None:
        self.removing = part

    def _describe(self) -> None:
        self.form = InstrumentForm(self.book, self.procedure.stage(HOLD), self.procedure.typical_instruments)

    def _draft(self, draft: PartDraft) -> None:
        self.draft = draft

    def _figures(self, draft: PartDraft) -> Question:
        if draft.volume_m3 is None:
            ask, hint, proposal = "How large is the tube? Type inner diameter x length.", worded("10 mm x 1,2 m"), None
        else:
            which = "figures" if draft.corrects else "usual figures"
            ask = f"Are these {which} right? Enter stores them; or type what is different, or the next part."
            hint = worded("such as: 320 mL ± 5 % · 0.8 bar · max unknown · copper, nickel · name top radiator")
            proposal = "store"

        def deed(text: str) -> Deed:
            if text.strip().casefold() == "store" and draft.volume_m3 is not None:
                return Deed(told=f"store {draft.told()}", do=lambda: self._store(draft))
            other = another_part(draft, text, self.procedure.typical_parts) if draft.volume_m3 is not None else None
            if other is not None:
                return Deed(told=f"store {draft.told()}; next: {other.name}", do=lambda: self._store(draft, other))
            first = text.strip().partition(" ")[0].casefold()
            if draft.volume_m3 is not None and first in WORDS:
                raise InputError(f"{first} comes after these figures: Enter stores them, Esc leaves them")
            new = changed(draft, text)
            return Deed(told=new.told(), do=lambda: self._draft(new))

        return asked_once(deed, key=f"part figures {'' if proposal else 'size'}", ask=ask, hint=hint, proposal=proposal)

    def _why_removed(self, part: Part) -> Question:
        def do(reason: str) -> str:
            self.book.work(Sheet).remove_part(self.build_id, part.part_id, reason)
            self.removing = None
            return f"taken out: {part.name}"

        return asked_text(
            some_text("a reason"),
            do,
            key="remove",
            ask=f"Why is {clip(part.name)} taken out? Esc leaves it in.",
            hint="a reason, such as: replaced by a larger one",
        )

    def _store(self, draft: PartDraft, following: PartDraft | None = None) -> str:
        stored = store_draft(self.book, self.build_id, draft)
        self.draft = following
        return stored

    def _part(self, name: str) -> Part:
        return part_named(self.state, name)

    # --- what is known ---------------------------------------------------------------------------------------

    def card(self) -> CardContent:
        """Return everything that is known of the build."""
        if self.form is not None:
            return CardContent(
                proves=PROVES, step="instrument", figures=self.form.figures(), notices=self.form.notices()
            )
        if self.draft is not None:
            step = "known part" if self.draft.corrects else "new part"
            return CardContent(proves=PROVES, step=step, figures=draft_rows(self.draft), notices=self._warnings())
        return CardContent(
            proves=PROVES,
            step=counted(len(self.state.parts), "part"),
            figures=(
                *total_rows(self.state),
                *map(part_row, self.state.parts),
                *instrument_rows(self.shop.instruments),
            ),
            notices=self._warnings(),
        )

    def _warnings(self) -> tuple[str, ...]:
        """Return the warnings as if the part in hand were stored already: they come while it is typed."""
        state = self.state
        if self.draft is not None and self.draft.volume_m3 is not None:
            state = replace(state, parts=(*state.parts, self.draft.parts("draft", frozenset())))
        unknown = [f'The rating of "{part.name}" is not known.' for part in state.parts if part.max_gauge_pa is None]
        found = [say(phrase) for phrase in self.book.work(Sheet).warnings(state)]
        return tuple(f"Warning: {text}" for text in (*found, *unknown[:1]))
