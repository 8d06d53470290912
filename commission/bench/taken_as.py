"""What a typed line is taken as: an answer, a refusal, or a call for the card of what went wrong."""

from dataclasses import dataclass

from commission.base.errors import CommissionError
from commission.bench.mishap.words import Called, called_by
from commission.bench.prompt import Prompt

DETAILS = "details"
"""Shows all that a card knows; where a name or a reason is asked it is that."""
STAGE = "stage"
"""Goes to the stage whose name stands behind it, by the same rule."""
STAGE = "stage"
"""Goes to the stage whose name stands behind it, by the same rule."""


@dataclass(frozen=True, slots=True)
class TakenAs:
    """One line."""

    understood: str
    """What it is understood as."""
    why_not: str
    """Why it is not understood; empty where it is."""
    called: Called | None
    """The card that it calls; None where it calls none."""


def taken_as(prompt: Prompt, typed: str, *, wet_is_a_leak: bool) -> TakenAs:
    """Return what a line is taken as; an empty one is the proposal, where there is one."""
    try:
        understood, why = prompt.understand(typed if typed.strip() else prompt.proposal or ""), ""
    except CommissionError as error:
        understood, why = "", str(error)
    called = called_by(typed, wet=wet_is_a_leak, understood=not why)
    word = typed.strip().casefold()
    if called is None and why and (word == DETAILS or word.partition(" ")[0] == STAGE):
        return TakenAs("", "", Called(word=word, before=""))
    return TakenAs(understood, why, called)


def does(called: Called) -> str:
    """Return what Enter does with a line that calls a card, or all details.

    >>> does(Called(word="leak", before=""))
    'Enter opens the card: leak'
    """
    if called.word == DETAILS:
        return "Enter shows all details, or fewer again"
    if called.word.partition(" ")[0] == STAGE:
        return f"Enter goes to: {called.word}"
    return f"Enter opens the card: {called.word}"
