"""The handover and its visits: no picture, a line at a time."""

from commission.bench.attempts import attempt_title
from commission.procedure.stage_ids import HANDOVER
from commission.record.logbook import Logbook
from commission.stages.handover.card.handover import HandoverFlow, Phase
from commission.stages.handover.state import visiting
from commission.ui.screens.flow_screen import FlowScreen


class HandoverScreen(FlowScreen):
    """From the last pass to the owner, and the years after."""

    help_key = "handover"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(build_id)
        self.flow: HandoverFlow = HandoverFlow(book, build_id)

    def title_text(self) -> str:
        """Return the build's name and where we are."""
        state = self.flow.hand.state
        what = "handover" if visiting(state) is None else "service visit"
        if visiting(state) is not None:
            return f"{state.name} · {what}"
        return attempt_title(state, HANDOVER, what, after=self.flow.phase is Phase.AFTER)
