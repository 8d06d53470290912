"""Tests of cables and voltages that are aborted: an empty one, or one of the wrong cable or supply."""

from commission.base.errors import NotAllowed
from commission.procedure.stage_ids import FIRST_POWER
from commission.record.logged import Logged
from commission.record.record import Record
from commission.record.stage_work import StageWork
from commission.stages.first_power.entries import PowerTestAborted
from commission.stages.first_power.state.power import FirstPowerState


class PowerAborts(StageWork):
    """Aborts a whole test; what was measured stays in the record, and what failed stays to be repaired."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, FIRST_POWER, while_locked=True)

    def abort(self, build_id: str, cable: str, reason: str) -> Logged:
        """Record that the test of a cable is aborted, or the voltages where no cable is named.

        Raises
        ------
        NotAllowed
            If nothing was measured, the pump runs by the log, or no reason is given.
        """
        state = self.known(build_id)
        power = state.of(FirstPowerState)
        if not power.measured(cable):
            raise NotAllowed(f"there is nothing to abort: nothing was measured{f' on {cable}' if cable else ''}")
        if power.pump_since is not None:
            raise NotAllowed("by this log the pump runs; switch it off and type off first")
        if not reason.strip():
            raise NotAllowed("say why the test is aborted")
        attempt = state.run(FIRST_POWER).attempt
        return self.book.record(build_id, PowerTestAborted(attempt=attempt, cable=cable, reason=reason.strip()))
