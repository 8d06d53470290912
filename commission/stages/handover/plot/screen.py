"""The handover and its visits: no picture, a line at a time."""

from commission.record.logbook import Logbook
from commission.stages.handover.card.handover import HandoverFlow
from commission.ui.screens.flow_screen import FlowScreen


class HandoverScreen(FlowScreen):
    """From the last pass to the owner, and the years after."""

    help_key = "handover"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: HandoverFlow = HandoverFlow(book, build_id)
