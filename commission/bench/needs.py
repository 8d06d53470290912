"""What a build needs next, in a few words, from the record alone."""

from dataclasses import dataclass

from commission.base.verdict import Outcome
from commission.bench.figures import clock_time
from commission.record.build_state import HOLD
from commission.record.fold import BuildState
from commission.record.ladder import StageState, StageWord
from commission.record.logbook import Logbook
from commission.record.machine.rungs import Rungs


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """Where a build stands."""

    word: str
    """State of the stage that is its turn."""
    next: str
    """What it needs next."""
    last: str
    """When something was last entered."""


def need_of(book: Logbook, state: BuildState) -> Need:
    """Return where a build stands and what it needs next."""
    rung = turn(book.ladder(state))
    last = clock_time(state.last.mark, today=book.clock.now()) if state.last else ""
    return Need(word=str(rung.word) if rung else "", next=_next(book, state, rung), last=last)


def turn(ladder: tuple[StageState, ...]) -> StageState | None:
    """Return the stage that is under way, else the first that is not done with; the last one where all are."""
    undone = [rung for rung in ladder if rung.word not in (StageWord.PASSED, StageWord.OVERRIDDEN)]
    running = [rung for rung in undone if rung.word is StageWord.RUNNING]
    return next(iter((*running, *undone)), ladder[-1] if ladder else None)


def _next(book: Logbook, state: BuildState, rung: StageState | None) -> str:
    hold, judged = state.hold, state.judged_hold
    if state.of(Rungs).pump_runs or hold.running:
        return "readings, to its end" if hold.running else "leak checks: PUMP runs"
    if not state.parts and state.volume is None and judged is None:
        return "parts on its sheet"
    if state.open_findings:
        return "the cure"
    if hold.steps or hold.plan is not None or hold.acknowledged:
        return _prepared(book, state)
    if judged is None or judged.verdict_entry is None:
        return "a pressure hold"
    if rung is not None and (rung.stage.id != HOLD or rung.word in (StageWord.PASSED, StageWord.OVERRIDDEN)):
        return _of_stage(rung)
    outcome = judged.verdict_entry.verdict.outcome
    found = {one.raised.attempt for one in state.findings if one.raised.stage == HOLD}
    if outcome is Outcome.FAIL and judged.attempt not in found:
        return "finding and cure"
    return "a retest"


_RUNNING = {
    "fill": "pours, to its end",
    "bleed": "cycles, to its end",
    "first_power": "the next rung",
    "fan_headers": "sweeps, to its end",
}
"""What a stage that is under way needs."""


def _of_stage(rung: StageState) -> str:
    """Return what a stage after the hold needs."""
    title = rung.stage.title.lower()
    match rung.word:
        case StageWord.PASSED | StageWord.OVERRIDDEN:
            return "nothing more here"
        case StageWord.RUNNING:
            return _RUNNING.get(rung.stage.id, "its end")
        case StageWord.OPEN:
            return f"the {title}"
        case StageWord.STALE:
            return f"the {title} again"
        case _:
            return f"another {title}"


def _prepared(book: Logbook, state: BuildState) -> str:
    cautions = len(book.hold.missing_cautions(state))
    if cautions:
        return f"{cautions} cautions"
    if state.hold.plan is None:
        return "a plan"
    return "steps, first reading"
