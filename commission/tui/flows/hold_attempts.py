"""All attempts at the hold, one a row: they stay visible whatever came of them."""

from collections.abc import Mapping

from commission.domain.attempt import HoldAttempt
from commission.domain.quantity import Quantity
from commission.domain.state import BuildState
from commission.tui.flows.figures import clock_time, rate, rate_bounds


def attempt_rows(state: BuildState, usual: Mapping[Quantity, str]) -> list[tuple[str, str, str, str]]:
    """Return label, word, rate with bounds, and what followed, for each attempt that was judged."""
    return [row for hold in state.holds if (row := _row(state, hold)) is not None]


def _row(state: BuildState, hold: HoldAttempt) -> tuple[str, str, str, str] | None:
    closed = hold.verdict_entry
    if closed is None or hold.started is None:
        return None
    word = closed.verdict.outcome.upper()
    leak = closed.verdict.leak_rate
    bounds = f"{rate(leak.value)}, {rate_bounds(leak)}" if leak else "no leak rate"
    said = [clock_time(hold.started.mark)]
    if hold.stale_by is not None:
        said.append(f"stale since entry {hold.stale_by}")
    for finding in state.findings:
        if finding.raised.attempt == hold.attempt:
            said.append(f"found: {finding.raised.where}, {finding.raised.note}")
            said.append(f"cure: {finding.cure}" if finding.cure else "no cure yet")
            if finding.proved_by is not None:
                said.append(f"proved by attempt {finding.proved_by}")
    return f"attempt {hold.attempt}", word, bounds, " · ".join(said)
