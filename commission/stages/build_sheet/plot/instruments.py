"""The instruments of the workshop."""

from commission.record.logbook import Logbook
from commission.stages.build_sheet.card.instruments import InstrumentsFlow
from commission.ui.screens.flow_screen import FlowScreen


class InstrumentsScreen(FlowScreen):
    """What reads the loops of this workshop."""

    help_key = "instruments"

    def __init__(self, book: Logbook) -> None:
        super().__init__()
        self.flow: InstrumentsFlow = InstrumentsFlow(book)
