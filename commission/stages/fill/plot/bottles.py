"""The bottles of the workshop."""

from commission.record.logbook import Logbook
from commission.stages.fill.card.bottles import BottlesFlow
from commission.ui.screens.flow_screen import FlowScreen


class BottlesScreen(FlowScreen):
    """What there is to pour, and what is left of it."""

    help_key = "bottles"

    def __init__(self, book: Logbook) -> None:
        super().__init__()
        self.flow: BottlesFlow = BottlesFlow(book)
