"""The instruments of the workshop: described once, used by every build, retired with a reason."""

from typing import TYPE_CHECKING

from commission.base.text import clip
from commission.bench.ask import Flow, Question, asked_once, asked_text, command, one_of, one_word, some_text
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.bench.instrument.form import InstrumentForm
from commission.procedure.stage_ids import HOLD
from commission.record.logbook import Logbook
from commission.record.machine.instrument import Instrument
from commission.stages.build_sheet.rows import instrument_rows
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.procedure.model import Help

PROVES = "Know what reads the loop, how finely and how well: no verdict is better than its instruments."


class InstrumentsFlow(Flow):
    """Describes instruments and takes them out of use."""

    def __init__(self, book: Logbook) -> None:
        super().__init__()
        self.book = book
        self.procedure = book.new_procedure
        self.form: InstrumentForm | None = None
        self.retiring: Instrument | None = None
        self.refresh()

    def refresh(self) -> None:
        """Read the record again."""
        self.shop = self.book.shop()

    def back(self) -> bool:
        """Leave what was half typed."""
        if self.form is not None:
            if not self.form.back():
                self.form = None
            return True
        had, self.retiring = self.retiring is not None, None
        return had

    def title(self) -> str:
        """Return where this is."""
        return "meters of the workshop"

    def help(self) -> "Help":
        """Return what there is to know here."""
        from commission.procedure.model import Help

        return Help(
            purpose="What the workshop reads with: step of the display, largest error, range. Readings are typed in "
            "the unit on the instrument's face.",
            good=worded(
                "A gauge with a full scale of at most five times the test pressure and a resolution of 1 mbar or "
                "finer. A thermometer that reads tenths, at the loop. A barometer at the bench."
            ),
            bad=("A coarse gauge only needs a longer hold. Retire an instrument that fell, with a reason."),
        )

    def question(self) -> Question | None:
        """Return what is asked now."""
        if self.form is not None and self.form.stored is not None:
            self.form = None
        if self.form is not None:
            return self.form.question()
        return self._what() if self.retiring is None else self._why(self.retiring)

    def card(self) -> CardContent:
        """Return what is known of the instruments."""
        if self.form is not None:
            return CardContent(
                proves=PROVES, step="instrument", figures=self.form.figures(), notices=self.form.notices()
            )
        return CardContent(
            proves=PROVES,
            step=f"{len(self.shop.instruments)} in use",
            figures=instrument_rows(self.shop.instruments),
        )

    def _what(self) -> Question:
        names = {one.instrument_id: one.name for one in self.shop.instruments}

        def deed(text: str) -> Deed:
            word, rest = command(text, ("retire", "edit"))
            if word == "edit":
                known = one_of(rest, names, "instrument in use")
                return Deed(told=f"describe again: {names[known]}", do=lambda: self._again(known))
            if word:
                key = one_of(rest, names, "instrument in use")
                return Deed(told=f"take out of use: {names[key]}", do=lambda: self._retire(key))
            one_word("new", "add")(text)
            return Deed(told="describe an instrument", do=self._describe)

        return asked_once(
            deed,
            key="instruments",
            ask="Enter describes another instrument." if names else "Enter describes the first instrument.",
            hint="or: edit NAME · retire NAME"
            if names
            else "a gauge at least; a thermometer and a barometer decide sooner",
            proposal="new",
        )

    def _retire(self, instrument_id: str) -> None:
        self.retiring = next(one for one in self.shop.instruments if one.instrument_id == instrument_id)

    def _again(self, instrument_id: str) -> None:
        known = next(one for one in self.shop.instruments if one.instrument_id == instrument_id)
        self.form = InstrumentForm(
            self.book, self.procedure.stage(HOLD), self.procedure.typical_instruments, known=known
        )

    def _describe(self) -> None:
        self.form = InstrumentForm(self.book, self.procedure.stage(HOLD), self.procedure.typical_instruments)

    def _why(self, instrument: Instrument) -> Question:
        def do(reason: str) -> str:
            self.book.retire_instrument(instrument.instrument_id, reason)
            self.retiring = None
            return f"out of use: {instrument.name}"

        return asked_text(
            some_text("a reason"),
            do,
            key="retire",
            ask=f"Why is {clip(instrument.name)} taken out of use? Esc leaves it in.",
            hint="such as: fell off the bench",
        )
