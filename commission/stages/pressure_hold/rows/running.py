"""A hold that runs now, in a few words, and what a build needs for its hold."""

from collections.abc import Iterator

from commission.base.text import counted
from commission.bench.face import Running, Urgency
from commission.bench.figures import duration
from commission.procedure.model import When
from commission.procedure.stage_ids import HOLD
from commission.record.fold import BuildState
from commission.record.ladder import StageState, StageWord
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.state.attempt import hold_of, judged_hold, search_under_pressure
from commission.stages.pressure_hold.state.found import fault_is_to_be_found, search_is_open
from commission.stages.pressure_hold.work.holds import Holds


def running(book: Logbook, state: BuildState) -> Iterator[Running]:
    """Yield the hold that runs, and when its next reading is due; or a leak search that is under pressure."""
    hold = hold_of(state)
    if not hold.running:
        if search_under_pressure(state):
            yield Running(Urgency.PRESSURE, "leak search: under pressure, vent it")
        return
    elapsed, end = book.work(Holds).elapsed_s(state), hold.end_s or 0.0
    told = f"hold {duration(elapsed)} of {duration(end)}"
    if elapsed >= end:
        yield Running(Urgency.PRESSURE, f"{told}, over: end it")
        return
    last = max((one.elapsed.elapsed_s for one in hold.readings), default=0.0)
    due = (hold.plan.every_s if hold.plan else 0.0) - (elapsed - last)
    when = f"reading due in {duration(due)}" if due > 0 else f"reading OVERDUE by {duration(-due)}"
    yield Running(Urgency.PRESSURE, f"{told}, {when}")


def needs(book: Logbook, state: BuildState, turn: StageState | None) -> str:
    """Return what a build needs for its hold: what prepares it, the first one, or a retest where it is its turn."""
    hold, judged = hold_of(state), judged_hold(state)
    if hold.steps or hold.plan is not None or hold.acknowledged:
        return _prepared(book, state)
    if judged is None or judged.verdict_entry is None:
        return "a pressure hold"
    if turn is not None and (turn.stage.id != HOLD or turn.word in (StageWord.PASSED, StageWord.OVERRIDDEN)):
        return ""
    if search_is_open(state) and judged.search is not None and len(judged.search.left) > 1:
        return f"leak search, {len(judged.search.left)} left"
    if fault_is_to_be_found(state):
        return "defect and repair"
    if search_is_open(state):
        return "a leak search"
    return "a retest"


def _prepared(book: Logbook, state: BuildState) -> str:
    if hold_of(state).plan is None:
        return "a plan"
    cautions = len(book.work(Holds).missing_cautions(state, When.BEFORE_PRESSURE))
    return counted(cautions, "caution") if cautions else "steps, first reading"
