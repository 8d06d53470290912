"""A pump that runs alone, in a few words: how long, and when its leak check is due."""

from collections.abc import Iterator

from commission.base.verdict import Outcome
from commission.bench.face import Running, Urgency
from commission.bench.figures import duration
from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from commission.stages.first_power.rows.watch_due import next_look
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import FirstPower

LONG_S = 600.0
"""From this length of time on no seconds are told [s]; our choice."""


def running(book: Logbook, state: BuildState) -> Iterator[Running]:
    """Yield the pump that runs alone."""
    if state.of(FirstPowerState).pump_since is None:
        return
    elapsed = book.work(FirstPower).watch(state).elapsed_s
    yield Running(Urgency.PUMP, f"PUMP alone {_about(elapsed)}, {_due(book, state, elapsed)}")


def _due(book: Logbook, state: BuildState, elapsed: float) -> str:
    verdict = book.work(FirstPower).wet_verdict(state)
    if verdict.outcome is Outcome.FAIL:
        return "LEAK: switch it off at once, pull the mains plug"
    next_s, _ = next_look(state.of(FirstPowerState), verdict)
    if next_s is None:
        return "leak watch over: switch it off yourself, then log it"
    due = next_s - elapsed
    return f"leak check due in {_about(due)}" if due > 0 else f"leak check OVERDUE by {_about(-due)}"


def _about(seconds: float) -> str:
    """Return a length of time, in whole minutes from ten minutes on: nobody needs the seconds then."""
    return duration(seconds if seconds < LONG_S else 60 * (seconds // 60))
