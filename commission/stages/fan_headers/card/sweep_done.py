"""What was done since a sweep of this chain failed: it is asked before the next one reads anything."""

from collections.abc import Callable

from commission.base.errors import InputError
from commission.bench.ask import Question, asked_once, command, some_text
from commission.bench.deed import Deed, said
from commission.record.machine.seats import Chain
from commission.stages.fan_headers.state import TakenSweep

_STAY = ("abort", "undo", "note")
"""Words that do what they always do in a sweep."""
_LATER = ("live", "sensor", "file", "stall", "end")
"""Words that wait for the answer."""


def ask_done(chain: Chain, failed: TakenSweep, other: Callable[[str], Deed], keep: Callable[[str], None]) -> Question:
    """Ask what was done since the last sweep failed.

    Parameters
    ----------
    other
        Reads a line that gives the sweep up, withdraws, or notes something.
    keep
        Keeps the answer until the sweep is stored.
    """

    def deed(text: str) -> Deed:
        if command(text, _STAY)[0]:
            return other(text)
        done = some_text("what was done")(text)
        if command(text, _LATER)[0] or not any(map(str.isalpha, done)):
            raise InputError("say first what was done since the last sweep failed, or abort this one")
        return said(f"done since: {done}", lambda: keep(done))

    return asked_once(
        deed,
        key="done",
        ask=f"The last sweep of {chain.name} failed here ({failed.taken.verdict.said}). What was done since?",
        hint="such as: lead seated again · abort leaves the sweep",
    )
