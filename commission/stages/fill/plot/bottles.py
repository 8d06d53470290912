"""The bottles of the workshop."""

from typing import TYPE_CHECKING

from commission.record.logbook import Logbook
from commission.stages.fill.card.bottles import BottlesFlow
from commission.ui.screens.flow_screen import FlowScreen

if TYPE_CHECKING:
    from commission.procedure.model import Help


class BottlesScreen(FlowScreen):
    """What there is to pour, and what is left of it."""

    help_key = "bottles"

    def __init__(self, book: Logbook) -> None:
        super().__init__()
        self.flow: BottlesFlow = BottlesFlow(book)

    def own_help(self) -> "Help":
        """Return what F1 says here."""
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

    def title_text(self) -> str:
        """Return where we are."""
        return "commission · bottles"
