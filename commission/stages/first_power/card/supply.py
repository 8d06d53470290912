"""The supply: what it is, which guide it claims to follow, and which of its cables were made by hand."""

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.bench.ask import Question, asked_once
from commission.bench.card import CardContent, Figure
from commission.bench.deed import Deed
from commission.stages.first_power.model.rails import Revision
from commission.stages.first_power.rows.ladder import rung_figures, supply_row
from commission.stages.first_power.typed.supply import SUPPLY_EXAMPLE, read_names, read_supply

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand


class SupplyForm:
    """Asks once for the supply, its guide and the cables that were made by hand."""

    def __init__(self, hand: "PowerAtHand") -> None:
        self.hand = hand
        self.draft: tuple[str, Revision] | None = None

    def back(self) -> bool:
        """Go back to the first question, or leave a description that replaces another; False where neither is."""
        had, self.draft = self.draft is not None, None
        if not had and self.hand.asking == "describe":
            self.hand.asking, had = "", True
        return had

    def card(self, card: CardContent) -> CardContent:
        """Return the card with what was typed so far."""
        rows: tuple[Figure, ...] = ()
        if self.draft is not None:
            rows = (supply_row(*self.draft),)
        return replace(card, step="supply", figures=(*rows, *rung_figures(self.hand)))

    def question(self) -> Question:
        """Return what is asked now."""
        return self._name() if self.draft is None else self._cables(*self.draft)

    def _name(self) -> Question:
        def read(text: str) -> Deed:
            name, revision = read_supply(text)

            def do() -> None:
                self.draft = name, revision

            return Deed(told=f'supply "{name}", judged by the windows of {revision}', do=do)

        return asked_once(
            read,
            key="supply",
            ask="Which supply is it, and which guide does it claim to follow: ATX2 or ATX3?",
            hint="Not sure? ATX2: its windows are the narrower ones.",
            placeholder=SUPPLY_EXAMPLE,
        )

    def _cables(self, name: str, revision: Revision) -> Question:
        def read(text: str) -> Deed:
            made = read_names(text)

            def do() -> str:
                self.hand.work.describe_supply(self.hand.build_id, name=name, revision=revision, hand_made=made)
                self.draft, self.hand.asking, self.hand.chosen, self.hand.beyond_supply = None, "", None, False
                return f'supply "{name}", {revision}'

            told = f"made by hand: {', '.join(made)}" if made else "no cable was made or changed by hand"
            return Deed(told=told, do=do)

        return asked_once(
            read,
            key="hand made",
            ask="Which cables did you make or change by hand? Names with commas between, or none.",
            hint="An extension or a sleeved set from a shop counts: nobody measured it on this supply.",
            placeholder="24-pin, CPU, GPU 1 · or none",
        )
