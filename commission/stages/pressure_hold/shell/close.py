"""``commission end-hold``: the end of a running hold, judged for the record."""

from __future__ import annotations

from commission.base.errors import NotAllowed
from commission.shell.recording import recording, records
from commission.stages.pressure_hold.rows.verdict_text import verdict_lines
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.work.holds import Holds


@records("BUILD", name="end-hold", later="at")
def close(build: str, *, as_json: bool) -> None:
    """End the running hold of a build, judge it for the record, and print the verdict.

    Before its planned end only a gross leak can be called; anything else is then inconclusive.

    \b
    Exit status: 0 pass, 1 fail, 3 inconclusive, 4 invalid,
                 2 there is nothing to end.

    \b
    Example:
      commission end-hold "Desk loop"
    """
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        book, build_id = job.book, job.build_id
        state = book.build(build_id)
        if not hold_of(state).running:
            raise NotAllowed(f'no hold is running in "{build}"; "commission show" tells how the last one ended')
        verdict = book.work(Holds).close(build_id)
        hold = hold_of(state)
        assert hold.plan is not None  # a hold that runs was planned
        lines = verdict_lines(verdict, hold.plan, about=(f"build: {state.name}", f"hold: {hold.attempt}"))
        job.judged(verdict.outcome, map(say, verdict.reasons), lines=lines)
