"""The test of a cable, or the voltages, aborted as a whole, with a reason."""

from typing import TYPE_CHECKING

from commission.bench.ask import Question, asked_text, one_word
from commission.bench.deed import Deed
from commission.bench.last_entry import reason_of

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand

ASKED = "abort"
"""What is asked while it is asked why."""


def abort_deed(hand: "PowerAtHand", cable: str, text: str) -> Deed:
    """Return what the word abort does: it asks why; ``cable`` is empty for the voltages."""
    one_word("abort")(text)
    what = f"the test of {cable}" if cable else "the voltages"
    told = f"abort {what}: what was measured stays in the log and no longer counts"
    return Deed(told=told, do=lambda: hand.ask(ASKED))


def why_aborted(hand: "PowerAtHand", cable: str, *, empty: bool) -> Question:
    """Ask why a test is aborted, and record it.

    Parameters
    ----------
    hand
        The stage.
    cable
        Name of the cable; empty for the voltages.
    empty
        Whether nothing was read yet.
    """
    what, is_ = (f"the test of {cable}", "is") if cable else ("the voltages", "are")

    def do(reason: str) -> str:
        hand.work.aborts.abort(hand.build_id, cable, reason)
        hand.asking = ""
        return f"{what} {is_} aborted: {reason}"

    return asked_text(
        reason_of,
        do,
        key="abort",
        ask=f"Why {is_} {what} aborted? What failed stays to be repaired.",
        hint="Esc goes on with it.",
        proposal="begun by mistake" if empty else None,
    )
