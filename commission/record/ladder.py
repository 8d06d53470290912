"""The ladder of stages: for each a word that says where it stands, and what comes next."""

from enum import StrEnum

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.procedure.model import Procedure, Stage
from commission.record.face import Registry
from commission.record.fold import BuildState
from commission.record.locks import failed, stage_lock


class StageWord(StrEnum):
    """Where a stage stands; always shown as a word."""

    LOCKED = "locked"
    OPEN = "open"
    RUNNING = "running"
    PASSED = "passed"
    FAILED = "failed"
    INCONCLUSIVE = "inconclusive"
    INVALID = "invalid"
    STALE = "stale"
    OVERRIDDEN = "overridden"


class StageState(Frozen):
    """One rung of the ladder."""

    stage: Stage
    """The stage."""
    word: StageWord
    """Where it stands."""
    why: str
    """What made it so, in one line; empty where the word says it all."""


_WORD_OF = {
    Outcome.PASS: StageWord.PASSED,
    Outcome.FAIL: StageWord.FAILED,
    Outcome.INCONCLUSIVE: StageWord.INCONCLUSIVE,
    Outcome.INVALID: StageWord.INVALID,
}


def ladder(procedure: Procedure, registry: Registry, state: BuildState) -> tuple[StageState, ...]:
    """Return the stages of a procedure in order, each with the word for its state in a build."""
    rungs: list[StageState] = []
    for stage in procedure.stages:
        below = [rung for rung in rungs if rung.stage.id in stage.rests_on]
        missing = [rung.stage.title for rung in below if not _bears(rung.word)]
        reason = "" if _no_reason_helps(state, stage, below) else state.overridden.get(stage.id, "")
        rungs.append(_rung(stage, stage_lock(registry, state, stage.id), state, missing, reason))
    return tuple(rungs)


def _bears(word: StageWord) -> bool:
    return word in (StageWord.PASSED, StageWord.OVERRIDDEN)


def _no_reason_helps(state: BuildState, stage: Stage, below: list[StageState]) -> bool:
    """Return whether a stage failed, or one that it rests on: a reason that was typed before helps no more."""
    return failed(state, stage.id) or any(rung.word is StageWord.FAILED for rung in below)


def _waits(missing: list[str], never: Phrase, state: BuildState, stage: str) -> str:
    """Return what a stage waits for: what it rests on, and in full where somebody tried to go round that."""
    tried = stage in state.overridden or not missing
    return never.template if tried else f"rests on {', '.join(missing)}"


def _rung(stage: Stage, never: Phrase | None, state: BuildState, missing: list[str], reason: str) -> StageState:
    if never is not None:
        return StageState(stage=stage, word=StageWord.LOCKED, why=_waits(missing, never, state, stage.id))
    if reason:
        return StageState(stage=stage, word=StageWord.OVERRIDDEN, why=reason)
    if missing:
        return StageState(stage=stage, word=StageWord.LOCKED, why=f"rests on {', '.join(missing)}")
    at_hand, judged = state.run(stage.id), state.judged_run(stage.id)
    if at_hand.running:
        return StageState(stage=stage, word=StageWord.RUNNING, why=f"attempt {at_hand.attempt}")
    if judged is None or judged.outcome is None:
        return StageState(stage=stage, word=StageWord.OPEN, why="")
    if judged.stale_by is not None and judged.outcome is Outcome.PASS:
        return StageState(stage=stage, word=StageWord.STALE, why=f"since entry {judged.stale_by}")
    return StageState(stage=stage, word=_WORD_OF[judged.outcome], why=f"attempt {judged.attempt}")
