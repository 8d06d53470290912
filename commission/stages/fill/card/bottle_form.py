"""Describes one bottle: what it is made of, its share and size, and into the record."""

from commission.base.errors import in_words
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.bench.ask import Question, asked_once, one_of
from commission.bench.card import Figure, typed_rows
from commission.bench.deed import Deed
from commission.bench.figures import volume
from commission.bench.names import free_name
from commission.record.logbook import Logbook
from commission.stages.fill.model.coolant import GLYCOLS, Base, Bottle, check_bottle
from commission.stages.fill.rows.bottle import base_rows
from commission.stages.fill.typed import bottle as bottle_draft
from commission.stages.fill.work.fills import Fills
from commission.units.parse import parse
from commission.units.worded import worded


class BottleForm:
    """A small form inside a flow; ``stored`` once the bottle is in the record."""

    def __init__(self, book: Logbook) -> None:
        self.book = book
        self.draft: Bottle | None = None
        self.product_asked = False
        self.stored: Bottle | None = None

    def question(self) -> Question:
        """Return what is asked now."""
        draft = self.draft
        if draft is None:
            return self._base()
        if draft.base in GLYCOLS and draft.fraction is None:
            return self._share(draft)
        if draft.density_kg_m3 is None and (draft.base is Base.READY_MIX):
            return self._density(draft)
        if draft.base is Base.READY_MIX and not self.product_asked:
            return self._product(draft)
        return self._size(draft) if draft.size_m3 <= 0 else self._rest(draft)

    def back(self) -> bool:
        """Go back to the choice; False where the form is at its start."""
        had, self.draft, self.product_asked = self.draft is not None, None, False
        return had

    def notices(self) -> tuple[str, ...]:
        """Return what to be warned of: nothing."""
        return ()

    def figures(self) -> tuple[Figure, ...]:
        """Return what is known of the bottle so far."""
        draft = self.draft
        if draft is None:
            return base_rows()
        rows = [("made of", bottle_draft.label(draft))]
        if draft.size_m3 > 0:
            rows += [("size", volume(draft.size_m3)), ("name", draft.name)]
        rows += [("lot", draft.lot)] if draft.lot else []
        return typed_rows(rows)

    def _base(self) -> Question:
        names = {str(base): str(base) for base in Base}

        def deed(text: str) -> Deed:
            base = Base(one_of(text, names, "base"))
            return self._with(Bottle(bottle_id="", name=str(base), base=base, size_m3=0.0), told=str(base))

        return asked_once(
            deed,
            key="bottle base",
            ask="A new bottle: what is in it, by its label? Type its number or name.",
            hint=" · ".join(f"{n} {base}" for n, base in enumerate(Base, 1)),
        )

    def _share(self, draft: Bottle) -> Question:
        def deed(text: str) -> Deed:
            share = bottle_draft.changed(draft, f"share {text}")
            label = bottle_draft.label(share)
            return self._with(replace(share, name=label), told=label)

        return asked_once(
            deed,
            key="bottle share",
            ask=f"Its share of {draft.base}, and whether by mass or by volume?",
            hint="as on the label: 30 % by mass · 50 % by volume · pure for a concentrate without water",
            placeholder="such as: 30 % by mass",
        )

    def _density(self, draft: Bottle) -> Question:
        def deed(text: str) -> Deed:
            if text.strip().casefold() in ("unknown", "not known"):
                other = replace(draft, base=Base.UNKNOWN, name=str(Base.UNKNOWN))
                return self._with(other, told="an unknown liquid: the fill goes by volume, no scale")
            dense = bottle_draft.changed(draft, f"density {text}")
            return self._with(dense, told=bottle_draft.told(dense))

        return asked_once(
            deed,
            key="bottle density",
            ask=worded("Its density, by the data sheet? Or weigh 100 mL of it."),
            hint=worded("such as: 1.035 g/mL at 20 degC · unknown: it is poured by volume"),
            placeholder="such as: 1.035 g/mL",
        )

    def _product(self, draft: Bottle) -> Question:
        """Ask what tells one ready mix from another; a bottle of the same density on the shelf is the likely one."""
        alike = [one for one in self.book.work(Fills).bottles if one.base is draft.base and _as_dense(one, draft)]
        product = next((one.product for one in reversed(alike) if one.product), "")

        def deed(text: str) -> Deed:
            typed = text.strip()
            if typed.casefold() == "none":
                return self._with(draft, told="no product name", product_asked=True)
            named = bottle_draft.changed(draft, f"product {typed}")
            return self._with(replace(named, name=named.product), told=f"product {typed}", product_asked=True)

        return asked_once(
            deed,
            key="bottle product",
            ask="The product name on its label? Bottles of one product are the same coolant.",
            hint="the same name for every bottle of it · none: it goes by its density",
            proposal=product or "none",
        )

    def _size(self, draft: Bottle) -> Question:
        def deed(text: str) -> Deed:
            size = parse(text, Quantity.VOLUME).si
            taken = frozenset(one.name for one in self.book.work(Fills).bottles)
            return self._with(replace(draft, size_m3=size, name=free_name(draft.name, taken)), told=volume(size))

        return asked_once(
            deed,
            key="bottle size",
            ask="How much is in it when full?",
            hint=worded("more than that can't come out of it: 1 L"),
            placeholder=worded("such as: 1 L"),
        )

    def _rest(self, draft: Bottle) -> Question:
        def deed(text: str) -> Deed:
            if text.strip().casefold() == "store":
                told = f"store {draft.name}: {bottle_draft.told(draft)}"
                return Deed(told=told, do=lambda: self._store(draft))
            new = bottle_draft.changed(draft, text)
            with in_words():
                check_bottle(new)
            return self._with(new, told=f"{new.name}: {bottle_draft.told(new)}")

        return asked_once(
            deed,
            key="bottle rest",
            ask=f"{bottle_draft.told(draft)}. Enter stores it; or add one a line.",
            hint="name red can · lot A12 · opened 2026-03-31 · lasts 2 years · density 1 g/mL · freezing -15 degC",
            proposal="store",
        )

    def _with(self, draft: Bottle, *, told: str, product_asked: bool = False) -> Deed:
        """Return what taking a label as it is now described does; nothing is recorded yet."""

        def do() -> None:
            self.draft, self.product_asked = draft, self.product_asked or product_asked

        return Deed(told=told, do=do)

    def _store(self, draft: Bottle) -> str:
        stored = replace(draft, bottle_id=self.book.new_id())
        self.book.work(Fills).add_bottle(stored)
        self.stored = stored
        return f'bottle "{stored.name}"'


def _as_dense(one: Bottle, other: Bottle) -> bool:
    return (one.density_kg_m3, one.density_k) == (other.density_kg_m3, other.density_k)
