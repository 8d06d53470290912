"""The instruments of the workshop."""

from typing import TYPE_CHECKING

from commission.record.logbook import Logbook
from commission.stages.build_sheet.card.instruments import InstrumentsFlow
from commission.ui.screens.flow_screen import FlowScreen

if TYPE_CHECKING:
    from commission.procedure.model import Help


class InstrumentsScreen(FlowScreen):
    """What reads the loops of this workshop."""

    help_key = "instruments"

    def __init__(self, book: Logbook) -> None:
        super().__init__()
        self.flow: InstrumentsFlow = InstrumentsFlow(book)

    def own_help(self) -> "Help":
        """Return what F1 says here."""
        from commission.procedure.model import Help

        return Help(
            purpose="What the workshop reads with: step of the display, largest error, range. Readings are typed in "
            "the unit on the instrument's face.",
            good=(
                "A gauge with a full scale of at most five times the test pressure and a "
                "resolution of 1 mbar or finer. A thermometer that reads tenths, at the loop. A "
                "barometer at the bench."
            ),
            bad=("A coarse gauge only needs a longer hold. Retire an instrument that fell, with a reason."),
        )

    def title_text(self) -> str:
        """Return where we are."""
        return "instruments of the workshop"
