"""Before any pressure: each part whose rating nobody knows is rated, or left out of the test with a reason."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.base.text import clip
from commission.bench.ask import Question, asked_once, command
from commission.bench.card import CardContent
from commission.bench.deed import Deed, said
from commission.bench.figures import pressure
from commission.record.machine.loop import names_of, unrated_parts
from commission.record.machine.parts import Part
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.rows.plan import rating_rows
from commission.units.parse import parse
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.stages.pressure_hold.at_hand import HoldAtHand


class Ratings:
    """Asks for the rating of one part after the other."""

    def __init__(self, hand: "HoldAtHand") -> None:
        self.hand = hand

    @property
    def unrated(self) -> tuple[Part, ...]:
        """The parts that the pressure would reach and nobody knows the rating of."""
        return unrated_parts(self.hand.state.tested_parts)

    def back(self) -> bool:
        """Nothing here is half answered."""
        return False

    def question(self) -> Question:
        """Return what is asked of the first of them."""
        part = self.unrated[0]
        return asked_once(
            lambda text: self._deed(part, text),
            key=f"rating {part.part_id}",
            ask=f"No rating is known of {clip(part.name)}. Which pressure does its maker allow?",
            hint=worded("such as 0.8 bar · unknown: out and why, then close it off: no pressure may reach it"),
        )

    def _deed(self, part: Part, text: str) -> Deed:
        sheet, build_id = self.hand.book.work(Sheet), self.hand.build_id
        word, rest = command(text, ("out",))
        if word:
            reason = _reason(rest)
            told = f"{part.name} is left out of the test: {reason}"
            return said(told, lambda: sheet.leave_out(build_id, part.part_id, reason))
        rating = _rating(text)
        told = f"{part.name}: at most {pressure(rating.si, 'bar')}"
        return said(told, lambda: sheet.rate_part(build_id, part.part_id, rating))

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the parts concerned."""
        return replace(
            card,
            step="ratings",
            cautions_open=False,
            figures=rating_rows(self.hand.state.tested_parts),
            notices=(f"Warning: no pressure yet. No rating is known of {names_of(self.unrated)}.",),
        )


def _reason(text: str) -> str:
    if not text.strip():
        raise InputError("say why it is left out, such as: out glass, no data sheet")
    return text.strip()


def _rating(text: str) -> Measured:
    value = parse(text, Quantity.GAUGE_PRESSURE)
    if value.si <= 0:
        raise InputError(worded("a rating must be above 0; type such as 0.8 bar, or out and why"))
    return value
