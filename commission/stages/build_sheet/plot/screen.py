"""The build sheet."""

from commission.record.logbook import Logbook
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.ui.screens.flow_screen import FlowScreen


class BuildSheetScreen(FlowScreen):
    """The parts of a build and what they add up to."""

    help_key = "build_sheet"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: SheetFlow = SheetFlow(book, build_id)
