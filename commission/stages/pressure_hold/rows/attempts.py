"""All attempts at the hold, one a row: they stay visible whatever came of them."""

from commission.bench.card import Figure
from commission.bench.figures import clock_time
from commission.record.fold import BuildState
from commission.stages.pressure_hold.rows.rate_digits import places, rate_text
from commission.stages.pressure_hold.state.attempt import HoldAttempt, holds_of


def attempt_figures(state: BuildState) -> tuple[Figure, ...]:
    """Return a row for each attempt that was judged: its word, its leak rate with bounds, when it began."""
    return tuple(figure for hold in holds_of(state) if (figure := _figure(hold)) is not None)


def attempt_stories(state: BuildState) -> tuple[str, ...]:
    """Return what was found at each attempt and what was done about it, a sentence a finding."""
    stories = []
    for finding in state.findings:
        cure = f"repaired: {finding.cure}" if finding.cure else "not repaired yet"
        proved = f"; proved by attempt {finding.proved_by}" if finding.proved_by is not None else ""
        raised = finding.raised
        if finding.wrong is not None:
            stories.append(f"Entry {finding.seq}: {finding.told}; {cure}{proved}.")
            continue
        stories.append(f"Found after attempt {raised.attempt}: {raised.where}, {raised.note}; {cure}{proved}.")
    for hold in holds_of(state):
        if hold.stale_by is not None:
            stories.append(
                f"Attempt {hold.attempt} is stale since entry {hold.stale_by}: it no longer speaks of this loop."
            )
    return tuple(stories)


def _figure(hold: HoldAttempt) -> Figure | None:
    closed = hold.verdict_entry
    if closed is None or hold.started is None:
        return None
    leak = closed.verdict.leak_rate
    bounds = "no leak rate"
    if leak is not None:
        text = rate_text(places(closed.verdict))
        bounds = f"{text(leak.value)}, {text(leak.at_least)} to {text(leak.at_most)}"
    return Figure(
        label=f"attempt {hold.attempt}",
        value=closed.verdict.outcome.upper(),
        bounds=bounds,
        remark=clock_time(hold.started.mark),
    )
