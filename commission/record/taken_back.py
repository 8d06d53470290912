"""What spoke against a pass and was withdrawn: every verdict that it concerns tells it, and two of it bar a pass."""

from collections.abc import Sequence

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome

SLIPS = 1
"""So many may be slips [1]; our choice: one is mistyped at times, two that both say the same are none."""
TOLD = 3
"""So many are told, the last ones [1]; our choice: more are not read at a bench."""
WITHDRAWN = "withdrawn_against"
"""Code of the sentence that tells what was withdrawn in an attempt."""
MUCH_WITHDRAWN = "much_withdrawn"
"""Code of the reason where what was withdrawn bars a pass."""


class TakenBack(Frozen):
    """An entry that spoke against a pass, and was withdrawn."""

    seq: int
    """Its number."""
    what: str
    """What it said, in a few words."""
    reason: str
    """Why it was withdrawn, as typed."""
    grave: bool = False
    """Whether one alone bars a pass, since nobody mistypes it: a wet joint."""


def told_of(taken: Sequence[TakenBack]) -> tuple[Phrase, ...]:
    """Return what tells of all that was withdrawn, in one sentence; nothing where nothing was."""
    return _told(taken, WITHDRAWN, "against a pass")


def with_spared(reasons: Sequence[Phrase], taken: Sequence[TakenBack]) -> tuple[Phrase, ...]:
    """Return reasons that tell what took a proof away and was withdrawn, where none of them tells that already."""
    said = " ".join(one.template for one in reasons)
    untold = [one for one in taken if f"(entry {one.seq}:" not in said]
    return (*reasons[:1], *_told(untold, "withdrawn_undoing", "it had taken a proof away"), *reasons[1:])


def _told(taken: Sequence[TakenBack], code: str, how: str) -> tuple[Phrase, ...]:
    if not taken:
        return ()
    said = "; ".join(f"{one.what} (entry {one.seq}: {one.reason})" for one in taken[-TOLD:])
    more = f", and {len(taken) - TOLD} more" if len(taken) > TOLD else ""
    plain = f"Withdrawn, and {how}: {said}{more}.".replace("{", "(").replace("}", ")")
    return (Phrase(code, plain),)


def with_taken_back(
    outcome: Outcome, reasons: Sequence[Phrase], taken: Sequence[TakenBack], again: str
) -> tuple[Outcome, tuple[Phrase, ...]]:
    """Return outcome and reasons with what was withdrawn.

    Parameters
    ----------
    again
        What to do where they bar the pass, as a sentence.
    """
    told = told_of(taken)
    if outcome is not Outcome.PASS or (len(taken) <= SLIPS and not any(one.grave for one in taken)):
        return outcome, (*reasons[:1], *told, *reasons[1:])
    entries = ", ".join(str(one.seq) for one in taken[-TOLD:])
    no_slip = Phrase(MUCH_WITHDRAWN, f"What was withdrawn looks like no slip: entry {entries}. {again}")
    return Outcome.INCONCLUSIVE, (no_slip, *told)
