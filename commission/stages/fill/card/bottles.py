"""The bottles of the workshop: described once, poured into any build, retired with a reason."""

from typing import TYPE_CHECKING

from commission.base.text import clip
from commission.bench.ask import Flow, Question, asked_once, asked_text, command, one_of, one_word, some_text
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.record.logbook import Logbook
from commission.stages.fill.card.bottle_form import BottleForm
from commission.stages.fill.model.coolant import Bottle
from commission.stages.fill.rows.bottle import bottle_row
from commission.stages.fill.work.fills import Fills

if TYPE_CHECKING:
    from commission.procedure.model import Help

PROVES = "Know what there is to add, what the labels say, and what is left as logged."


class BottlesFlow(Flow):
    """Describes bottles and takes them out of use."""

    def __init__(self, book: Logbook) -> None:
        super().__init__()
        self.book = book
        self.form: BottleForm | None = None
        self.retiring: Bottle | None = None
        self.refresh()

    def refresh(self) -> None:
        """Read the record again."""
        super().refresh()
        self.bottles = self.book.work(Fills).bottles

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
        return "commission · bottles"

    def help(self) -> "Help":
        """Return what there is to know here."""
        from commission.procedure.model import Help

        return Help(
            purpose=(
                "Every container of coolant or water, with what its label says. Each amount "
                "names its bottle, so the log knows what is in the loop and what is left."
            ),
            good=(
                "Glycol content always by mass or by volume. For a ready mix, the density of its "
                "data sheet. The lot, so that a later top-up can be of the same."
            ),
            bad=(
                "A bottle without a label is unknown: what it goes into has no known glycol "
                "content. Retire an empty one, with a reason. Withdraw a wrong label in the log, "
                "with a reason, and type it again."
            ),
        )

    def question(self) -> Question | None:
        """Return what is asked now."""
        if self.form is not None and self.form.stored is not None:
            self.form = None
        if self.form is not None:
            return self.form.question()
        return self._what() if self.retiring is None else self._why(self.retiring)

    def card(self) -> CardContent:
        """Return what is known of the bottles."""
        if self.form is not None and self.form.stored is None:
            return CardContent(proves=PROVES, step="bottle", figures=self.form.figures())
        return CardContent(
            proves=PROVES,
            step=f"{len(self.bottles)} in use",
            figures=tuple(bottle_row(self.book, one) for one in self.bottles),
        )

    def _what(self) -> Question:
        names = {one.bottle_id: one.name for one in self.bottles}

        def deed(text: str) -> Deed:
            word, rest = command(text, ("retire",))
            if not word:
                one_word("new", "add")(text)
                return Deed(told="describe a bottle", do=self._describe)
            key = one_of(rest, names, "bottle in use")
            return Deed(told=f"take out of use: {names[key]}", do=lambda: self._retire(key))

        return asked_once(
            deed,
            key="bottles",
            ask="Enter describes another bottle." if names else "Enter describes the first bottle.",
            hint="or: retire NAME" if names else "one for each kind and lot of coolant, and one for the water",
            proposal="new",
        )

    def _describe(self) -> None:
        self.form = BottleForm(self.book)

    def _retire(self, bottle_id: str) -> None:
        self.retiring = next(one for one in self.bottles if one.bottle_id == bottle_id)

    def _why(self, bottle: Bottle) -> Question:
        return asked_text(
            some_text("a reason"),
            lambda reason: self._retired(bottle, reason),
            key="retire bottle",
            ask=f"Why is {clip(bottle.name)} taken out of use? Esc leaves it in.",
            hint="such as: empty, handed in as waste",
            proposal="empty",
        )

    def _retired(self, bottle: Bottle, reason: str) -> str:
        self.book.work(Fills).retire_bottle(bottle.bottle_id, reason)
        self.retiring = None
        return f"out of use: {bottle.name}"
