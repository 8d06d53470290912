"""Faults of the first power-on in the log: what was found, and what was done about it."""

from commission.base.errors import NotAllowed, UnknownName
from commission.base.verdict import Outcome
from commission.procedure.stage_ids import FIRST_POWER
from commission.record.build_state import BuildState
from commission.record.entries import FindingRaised
from commission.record.logged import Logged
from commission.record.machine.proof import Proof
from commission.record.machine.rungs import Rung
from commission.record.record import Record
from commission.record.stage_work import StageWork
from commission.stages.first_power.entries import PowerFaultMended
from commission.stages.first_power.state.faults import LEVEL
from commission.stages.first_power.state.power import FirstPowerState


def _level_answered(state: BuildState) -> bool:
    """Return whether, since a level sank, one was read, coolant was moved, or a bleed passed."""
    sank, bled = state.of(FirstPowerState).level_sank, state.judged_run(state.stage_of(Proof.BLED))
    passed = bled.closed.seq if bled is not None and bled.closed and bled.outcome is Outcome.PASS else 0
    return sank < max((passed, state.level_read, *(entry.seq for entry in state.wetted)))


class PowerFindings(StageWork):
    """What was found and mended on the ladder: on a rung while it is climbed, or after the whole was judged."""

    def __init__(self, book: Record) -> None:
        super().__init__(book, FIRST_POWER, while_locked=True)

    def mend(self, build_id: str, what: str, done: str) -> Logged:
        """Record what was done about a cable, a voltage, a joint or a start of the machine that had failed.

        Raises
        ------
        UnknownName
            If nothing of that name is open.
        NotAllowed
            If nothing is said of what was done, or a level sank and nobody read one, topped up or bled since.
        """
        state = self.known(build_id)
        if all(fault.what != what for fault in state.of(FirstPowerState).open_faults):
            raise UnknownName(f'"{what}" is not among what failed and was not repaired')
        if not done.strip():
            raise NotAllowed("say what was done")
        if what == LEVEL and not _level_answered(state):
            raise NotAllowed("the level sank: read it, top up or bleed to a pass; then say what was done")
        return self.book.record(build_id, PowerFaultMended(what=what, done=done.strip()))

    def raise_finding(self, build_id: str, where: Rung, note: str) -> Logged:
        """Record a fault that was found on a rung of the ladder that was judged last.

        Raises
        ------
        NotAllowed
            If the ladder was not judged yet, or nothing is said of the fault.
        """
        judged = self.known(build_id).judged_run(FIRST_POWER)
        if judged is None:
            raise NotAllowed("the first power-on was not judged yet; end it first, then say what was found")
        if not note.strip():
            raise NotAllowed("say what was found")
        found = FindingRaised(
            finding_id=self.book.new_id(),
            stage=FIRST_POWER,
            attempt=judged.attempt,
            where=str(where),
            part_id=None,
            note=note.strip(),
        )
        return self.book.record(build_id, found)
