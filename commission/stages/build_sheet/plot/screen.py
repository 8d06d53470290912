"""The build sheet."""

from typing import TYPE_CHECKING

from commission.record.logbook import Logbook
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.ui.screens.flow_screen import FlowScreen

if TYPE_CHECKING:
    from commission.procedure.model import Help


class BuildSheetScreen(FlowScreen):
    """The parts of a build and what they add up to."""

    help_key = "build_sheet"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: SheetFlow = SheetFlow(book, build_id)

    def own_help(self) -> "Help":
        """Return what F1 says here."""
        from commission.procedure.model import Help

        return Help(
            purpose="The parts of the loop: what they hold, what they bear, what touches the coolant. The volume "
            "turns a fall of the gauge into a leak rate; the lowest rating bounds the test pressure.",
            good="Volumes from a data sheet, or from water weighed on a scale. Usual figures are offered and marked "
            "as assumed: they are common practice, and wide.",
            bad="Bare aluminium beside copper, brass or nickel corrodes: take one of them out. If a rating is not "
            "known, ask the maker before you pump. A wrong part is taken out with a reason: remove NAME.",
        )

    def title_text(self) -> str:
        """Return the build's name and where we are."""
        who = f" · {self.flow.shop.operator}" if self.flow.shop.operator else ""
        return f"{self.flow.state.name} · build sheet{who}"
