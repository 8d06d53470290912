"""What every stage with cautions and steps has in common: what was answered, what is missing, whether it is locked."""

import re
from collections.abc import Sequence

from commission.base.errors import NotAllowed
from commission.base.text import clip, counted
from commission.procedure.model import Caution, Stage, When
from commission.record.build_state import BuildState
from commission.record.entries import CautionAcknowledged, CautionsPrinted, StepDone
from commission.record.ladder import StageWord, ladder
from commission.record.logged import Logged
from commission.record.machine.dryness import refuse_wet
from commission.record.machine.proof import Proof
from commission.record.record import Record
from commission.record.unknown import refuse_unknown

_NOT_DONE = re.compile(
    r"^\W*(not|no|never)(\W+(really|yet|done|all|quite))*\W*$|\b(not (yet )?done|skipped|forgot)\b", re.I
)
"""Notes that take a done back; our choice: what people type who only want to go on."""


class StageWork:
    """Cautions, steps and locks of one stage.

    Parameters
    ----------
    book
        The record.
    stage_id
        Id of the stage in the procedure.
    while_locked
        Whether its cautions may be answered while it is locked, since some of its work waits for nothing.
    """

    def __init__(self, book: Record, stage_id: str, *, while_locked: bool = False) -> None:
        self.book = book
        self.stage_id = stage_id
        self._while_locked = while_locked

    def stage(self, state: BuildState) -> Stage:
        """Return the stage as the build's procedure has it.

        Raises
        ------
        NotAllowed
            If the procedure that it was opened under has no such stage.
        """
        try:
            return self.book.procedure(state).stage(self.stage_id)
        except KeyError:
            raise NotAllowed(
                f'the procedure that "{state.name}" was opened under has no stage {self.stage_id.replace("_", " ")}; '
                "open a new build for it"
            ) from None

    def acknowledge(self, build_id: str, caution_id: str, text: str) -> Logged:
        """Record that a caution was read and answered, as it stood on the screen."""
        attempt = self.reachable(build_id).run(self.stage_id).attempt
        return self.book.record(
            build_id, CautionAcknowledged(stage=self.stage_id, attempt=attempt, caution=caution_id, text=text)
        )

    def print_cautions(self, build_id: str, *whens: When) -> Logged:
        """Record that cautions were printed on a command line, where nobody can be asked."""
        state = self.reachable(build_id)
        ids = tuple(caution.id for when in whens for caution in self.cautions(state, when))
        attempt = state.run(self.stage_id).attempt
        return self.book.record(build_id, CautionsPrinted(stage=self.stage_id, attempt=attempt, cautions=ids))

    def do_step(self, build_id: str, step_id: str, note: str = "") -> Logged:
        """Record that a step was done.

        Raises
        ------
        NotAllowed
            If it is not the next one, or its note says that something is wet, or that it was not done.
        """
        refuse_wet(note)
        if _NOT_DONE.search(note):
            raise NotAllowed(f"{clip(note)} says that it was not done: do it, then type done")
        state = self.unlocked(build_id)
        missing = self.missing_steps(state)
        if not missing or missing[0] != step_id:
            next_step = f"next is: {missing[0]}" if missing else "all are done"
            raise NotAllowed(f'step "{step_id}" is not the next one; {next_step}')
        attempt = state.run(self.stage_id).attempt
        return self.book.record(build_id, StepDone(stage=self.stage_id, attempt=attempt, step=step_id, note=note))

    def cautions(self, state: BuildState, when: When) -> tuple[Caution, ...]:
        """Return the cautions of a moment that hold for how the pump is powered in this build, in order."""
        return self.stage(state).cautions_at(when, state.pump_supply)

    def missing_cautions(self, state: BuildState, when: When) -> tuple[str, ...]:
        """Return the ids of the cautions of a moment that are unanswered in this attempt, in order."""
        run = state.run(self.stage_id)
        seen = run.acknowledged | run.printed
        return tuple(caution.id for caution in self.cautions(state, when) if caution.id not in seen)

    def missing_steps(self, state: BuildState) -> tuple[str, ...]:
        """Return the ids of the steps that are still to be done in this attempt, in order."""
        done = state.run(self.stage_id).steps
        return tuple(step.id for step in self.stage(state).steps if step.id not in done)

    def reachable(self, build_id: str) -> BuildState:
        """Return the state of a build where cautions may be answered: one whose stage is not locked, or any.

        Raises
        ------
        NotAllowed
            If that is not so; the message says what is missing.
        """
        return self.known(build_id) if self._while_locked else self.unlocked(build_id)

    def known(self, build_id: str) -> BuildState:
        """Return the state of a build whose procedure has this stage, locked or not.

        Raises
        ------
        NotAllowed
            If it has not, or the build holds what this program does not know.
        """
        state = self.book.build(build_id)
        refuse_unknown(state)
        self.stage(state)
        return state

    def unlocked(self, build_id: str) -> BuildState:
        """Return the state of a build whose stage may be worked at.

        Raises
        ------
        NotAllowed
            If what the stage rests on has not passed, or the build's procedure has no such stage; the message says
            what.
        """
        state = self.known(build_id)
        for rung in ladder(self.book.procedure(state), self.book.registry, state):
            if rung.stage.id == self.stage_id and rung.word is StageWord.LOCKED:
                raise NotAllowed(f"{rung.stage.title} is locked: it {rung.why}; bring that to a pass first")
        return state

    def answered(self, build_id: str, when: When) -> BuildState:
        """Return the state of a build that can be reached and whose cautions of a moment were answered.

        Raises
        ------
        NotAllowed
            If the stage is locked or cautions are unanswered.
        """
        state = self.reachable(build_id)
        refuse_unanswered(self.missing_cautions(state, when))
        return state


def refuse_unanswered(cautions: Sequence[str]) -> None:
    """Raise NotAllowed where cautions are unanswered."""
    if cautions:
        raise NotAllowed(f"not answered yet: {counted(len(cautions), 'caution')}; read and answer each first")


def hold_runs(state: BuildState) -> bool:
    """Return whether the loop is under test pressure as logged."""
    return state.run(state.stage_of(Proof.TIGHT)).running
