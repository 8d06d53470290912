"""What is asked about a sweep: speeds that another one showed to the rpm, and one that failed here before."""

from collections.abc import Sequence

from commission.base.errors import InputError
from commission.base.text import clip
from commission.base.verdict import Outcome
from commission.record.build_state import BuildState
from commission.record.machine.seats import Chain
from commission.stages.fan_headers.model.sweep import SweepReading
from commission.stages.fan_headers.state import FanHeadersState, TakenSweep

ALIKE_ROWS = 5
"""Turning rows from which equal speeds are asked about [1]; our choice: equal fans share a few rows by chance."""


def same_speeds(state: BuildState, readings: Sequence[SweepReading]) -> str:
    """Return which earlier sweep of the build showed these very speeds, duty by duty; empty where none did.

    Rows that stand still, or could not be read, are alike on any chain: they do not count among the least number.
    """
    rows = [(one.duty_pct, one.rpm) for one in readings]
    if sum(bool(rpm) for _, rpm in rows) < ALIKE_ROWS:
        return ""
    for sweep in reversed(state.of(FanHeadersState).sweeps):
        if [(one.duty_pct, one.rpm) for one in sweep.taken.sweep.readings] == rows:
            return state.plugged.seat_said(sweep.taken.chain_id, sweep.taken.header_id)
    return ""


def same_doubt(state: BuildState, readings: Sequence[SweepReading], what: str) -> str:
    """Return what speaks against speeds that another sweep showed; empty where nothing does."""
    other = same_speeds(state, readings)
    return f"{what} has the very speeds of an earlier sweep of {other}, to the rpm" if other else ""


def failed_here(state: BuildState, chain_id: str) -> TakenSweep | None:
    """Return the last sweep of a chain where it failed and nothing recorded was changed since; else None."""
    sweep = state.of(FanHeadersState).sweep_of(chain_id)
    return sweep if sweep is not None and sweep.taken.verdict.outcome is Outcome.FAIL else None


def refuse_unanswered(
    state: BuildState, chain: Chain, readings: Sequence[SweepReading], what: str, *, same: bool, done: str
) -> None:
    """Refuse a sweep about which something is asked that no option of a command answers.

    Raises
    ------
    InputError
        If it has the speeds of another, or the last of the chain failed and nothing says what was done; or the reverse.
    """
    doubt, failed = same_doubt(state, readings, clip(what)), failed_here(state, chain.chain_id)
    if doubt and not same:
        raise InputError(f"{doubt}. If it is right, say so with --same")
    if failed is not None and not done.strip():
        said = failed.taken.verdict.said
        raise InputError(
            f'the last sweep of {chain.name} failed here ({said}): say what was done since with --done "..."'
        )
    if failed is None and done.strip():
        raise InputError(f"no sweep of {chain.name} failed as it is plugged and set now: leave --done out")
