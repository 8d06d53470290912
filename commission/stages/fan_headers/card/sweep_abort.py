"""A sweep that is aborted: one that was begun by mistake, or that cannot be judged since 100 % was never read."""

from typing import TYPE_CHECKING

from commission.bench.ask import Question, asked_text
from commission.bench.last_entry import reason_of
from commission.stages.fan_headers.at_hand import View
from commission.stages.fan_headers.model.sweep import FULL_PCT, SweepReading

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.record.machine.seats import Chain
    from commission.stages.fan_headers.at_hand import HeadersAtHand


def full_was_read(readings: "Sequence[SweepReading]") -> bool:
    """Return whether full speed was read, without which nothing can be judged."""
    return any(one.duty_pct == FULL_PCT for one in readings)


def why_aborted(
    hand: "HeadersAtHand", chain: "Chain", readings: "Sequence[SweepReading]", over: "Callable[[], None]"
) -> Question:
    """Ask why the running sweep is aborted, and record it.

    Parameters
    ----------
    hand
        The stage.
    chain
        Which chain is swept.
    readings
        What was read so far.
    over
        Leaves the sweep on the screen.
    """
    missing = "" if full_was_read(readings) else " Nothing was read at 100 %."

    def do(reason: str) -> str:
        hand.work.sweeps.abort_sweep(hand.build_id, reason)
        over()
        hand.view = View.BOARD
        return f"the sweep of {chain.name} is aborted"

    return asked_text(
        reason_of,
        do,
        key="abort",
        ask=f"Why is the sweep of {chain.name} aborted? It is not judged.{missing}",
        hint="Esc goes on with the sweep.",
        proposal=None if readings else "begun by mistake",
    )
