"""A flow that is itself what is at hand of its stage."""

from commission.bench.ask import Flow
from commission.bench.at_hand import StageAtHand
from commission.record.ladder import StageState
from commission.record.logbook import Logbook
from commission.record.stage_work import StageWork


class CoolantStage(StageAtHand, Flow):
    """The flow of a stage that keeps its state itself.

    Parameters
    ----------
    book, build_id, work
        As for :class:`StageAtHand`.
    """

    def __init__(self, book: Logbook, build_id: str, work: StageWork) -> None:
        Flow.__init__(self)
        StageAtHand.__init__(self, book, build_id, work)

    def ladder(self) -> tuple[StageState, ...]:
        """Return the stages of the build, each with the word for its state."""
        return self.rungs
