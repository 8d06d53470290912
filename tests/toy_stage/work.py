"""What may be done with dust filters, and what is refused."""

from commission.base.errors import NotAllowed
from commission.procedure.model import When
from commission.record.build_state import BuildState
from commission.record.logged import Logged
from commission.record.record import Record
from commission.record.stage_work import StageWork
from tests.toy_stage.entries import FiltersClosed, FilterSeated
from tests.toy_stage.judge import evaluate_filters
from tests.toy_stage.model import STAGE, FiltersVerdict
from tests.toy_stage.state import FiltersState

LIMIT = "gap_m"
"""The widest gap that passes, among the limits of the procedure."""


class Filters(StageWork):
    """The use cases."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, STAGE)

    def seat(self, build_id: str, name: str, gap_m: float) -> Logged:
        """Record a filter with its gap [m]."""
        state = self.answered(build_id, When.BEFORE_PLUGGING)
        refuse_gap(gap_m)
        return self.book.record(build_id, FilterSeated(attempt=state.run(STAGE).attempt, name=name, gap_m=gap_m))

    def close(self, build_id: str) -> Logged:
        """Judge the filters and end the attempt."""
        state = self.unlocked(build_id)
        if not state.run(STAGE).running:
            raise NotAllowed("no filter was read yet; there is nothing to judge")
        run = state.run(STAGE)
        return self.book.record(build_id, FiltersClosed(attempt=run.attempt, verdict=self.verdict(state)))

    def verdict(self, state: BuildState) -> FiltersVerdict:
        """Return what the gaps of a build prove."""
        return evaluate_filters(state.of(FiltersState).gaps_m.values(), self.stage(state).limit(LIMIT))


def refuse_gap(gap_m: float) -> None:
    """Raise NotAllowed where no gap is like that."""
    if gap_m < 0:
        raise NotAllowed("a gap is 0 or more; read it once more")
