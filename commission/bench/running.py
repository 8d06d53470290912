"""Everything that runs now in any build, a line each, from the record alone: a running pump before all else."""

from commission.base.verdict import Outcome
from commission.bench.figures import duration
from commission.procedure.stage_ids import BLEED, FILL
from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from commission.stages.bleed.entries import BleedClosed, BleedStarted
from commission.stages.fan_headers.entries import SweepAborted, SweepBegun, SweepTaken
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fill.entries import CoolantPoured, FillClosed
from commission.stages.first_power.entries import PumpStarted, WetWatchEnded
from commission.stages.first_power.rows.watch_due import next_look
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.pressure_hold.entries import HoldClosed, HoldStarted

_BEGUN_AND_ENDED = (
    ((PumpStarted,), (WetWatchEnded,)),
    ((HoldStarted,), (HoldClosed,)),
    ((SweepBegun,), (SweepTaken, SweepAborted)),
    ((CoolantPoured, BleedStarted), (FillClosed, BleedClosed)),
)
"""Kinds after which something may run, and kinds after which it does not."""


LONG_S = 600.0
"""From this length of time on no seconds are told [s]; our choice."""


def may_run(book: Logbook) -> list[BuildState]:
    """Return the builds in which something may run, folded: those where something was begun after the last end."""
    found: dict[str, None] = {}
    for begun, ended in _BEGUN_AND_ENDED:
        over = [kind.KIND for kind in ended]
        for kind in begun:
            found |= dict.fromkeys(book.begun_since(kind.KIND, over))
    return [book.build(build_id) for build_id in found]


def running_lines(book: Logbook, states: list[BuildState]) -> list[str]:
    """Return a line for each pump, hold, sweep, fill and bleed that runs now, in this order."""
    pumps = [_pump_line(book, state) for state in states if state.of(FirstPowerState).pump_since is not None]
    holds = [_hold_line(book, state) for state in states if state.hold.running]
    return [*pumps, *holds, *(line for state in states for line in (*_sweep_lines(state), *_wet_lines(state)))]


def _pump_line(book: Logbook, state: BuildState) -> str:
    """Return how long the pump has run alone, and when its leak check is due."""
    elapsed = book.power.watch(state).elapsed_s
    verdict = book.power.wet_verdict(state)
    told = f"{state.name}, PUMP alone {_about(elapsed)}"
    if verdict.outcome is Outcome.FAIL:
        return f"{told}, LEAK: switch it off at once, pull the mains plug"
    next_s, _ = next_look(state.of(FirstPowerState), verdict)
    if next_s is None:
        return f"{told}, leak watch over: switch it off yourself, then log it"
    due = next_s - elapsed
    return f"{told}, leak check {f'due in {_about(due)}' if due > 0 else f'OVERDUE by {_about(-due)}'}"


def _hold_line(book: Logbook, state: BuildState) -> str:
    elapsed, hold = book.hold.elapsed_s(state), state.hold
    end = hold.end_s or 0.0
    told = f"{state.name}, hold {duration(elapsed)} of {duration(end)}"
    if elapsed >= end:
        return f"{told}, over: end it"
    last = max((one.elapsed.elapsed_s for one in hold.readings), default=0.0)
    due = (hold.plan.every_s if hold.plan else 0.0) - (elapsed - last)
    return f"{told}, reading due in {duration(due)}" if due > 0 else f"{told}, reading OVERDUE by {duration(-due)}"


def _sweep_lines(state: BuildState) -> list[str]:
    """Return a line for a sweep that goes on."""
    at_hand = state.of(FanHeadersState).sweeping
    if at_hand is None:
        return []
    chain = state.plugged.chain(at_hand.begun.chain_id)
    name = chain.name if chain is not None else "a chain that was taken out"
    return [f"{state.name}, sweep of {name}: {_counted(len(at_hand.readings), 'reading')} so far"]


def _wet_lines(state: BuildState) -> list[str]:
    """Return a line for a fill or a bleed that goes on."""
    lines = []
    if state.run(FILL).running:
        lines.append(f"{state.name}, fill: {_counted(sum(one.stage == FILL for one in state.moves), 'amount')} so far")
    if state.run(BLEED).running:
        lines.append(f"{state.name}, bleed: {_counted(len(state.cycles), 'cycle')} so far")
    return lines


def _about(seconds: float) -> str:
    """Return a length of time, in whole minutes from ten minutes on: nobody needs the seconds then."""
    return duration(seconds if seconds < LONG_S else 60 * (seconds // 60))


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
