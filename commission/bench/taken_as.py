"""What a typed line is taken as: an answer, a refusal, or a call: a card of what went wrong, all details, units."""

from contextlib import suppress

from commission.base.errors import CommissionError
from commission.base.frozen import Frozen
from commission.bench.mishap.words import Called, called_by
from commission.bench.prompt import Prompt
from commission.bench.words_here import ASKED_FOR, MORE, NO_WORD
from commission.units.chosen import WORD as UNITS
from commission.units.chosen import Chosen, read_units, told, units_now

DETAILS = "details"
"""Shows all that a card knows; where a name or a reason is asked it is that."""
STAGE = "stage"
"""Goes to the stage whose name stands behind it, also where a name or a reason is asked."""


class TakenAs(Frozen, kw_only=False):
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
    if _chooses_units(typed, understood=not why):
        return _units(typed)
    called = called_by(typed, wet=wet_is_a_leak, understood=not why)
    word = typed.strip().casefold()
    if called is None and ((why and word == DETAILS) or leads_to_a_stage(word, asked=not why)):
        return TakenAs("", "", Called(word=word, before=""))
    if called is None and word in ASKED_FOR and (why or word != MORE or _takes_any_text(prompt)):
        return TakenAs("", "", Called(word=MORE, before=""))
    return TakenAs(understood, why, called)


def _takes_any_text(prompt: Prompt) -> bool:
    """Return whether any text is an answer; where not, and the mark is one, it says that something is not known."""
    try:
        prompt.understand(NO_WORD)
    except CommissionError:
        return False
    return True


def leads_to_a_stage(word: str, *, asked: bool) -> bool:
    """Return whether a line goes to a stage; where any text is an answer (``asked``), only one that names which.

    >>> leads_to_a_stage("stage bleed", asked=True), leads_to_a_stage("stage", asked=True)
    (True, False)
    """
    head, _, name = word.partition(" ")
    return head == STAGE and bool(name or not asked)


def is_units(line: str) -> bool:
    """Return whether a line begins with the word that chooses the units amounts are shown in."""
    return line.strip().partition(" ")[0].casefold() == UNITS


def _chooses_units(typed: str, *, understood: bool) -> bool:
    """Return whether a line chooses units: where any text is an answer, only one that names nothing but units."""
    if not is_units(typed):
        return False
    if not understood:
        return True
    with suppress(CommissionError):
        read_units(_behind(typed))
        return True
    return False


def _units(typed: str) -> TakenAs:
    try:
        units_by(typed)
    except CommissionError as error:
        return TakenAs("", str(error), None)
    return TakenAs("", "", Called(word=typed.strip(), before=""))


def _behind(line: str) -> str:
    return line.strip()[len(UNITS) :].strip()


def units_by(line: str) -> Chosen:
    """Return the units that a line chooses, kinds that it does not name as they are; raises InputError."""
    rest = _behind(line)
    return read_units(rest, units_now()) if rest else units_now()


def does(called: Called) -> str:
    """Return what Enter does with a line that calls a card, or all details.

    >>> does(Called(word="leak", before=""))
    'Enter opens the card: leak'
    """
    if called.word == DETAILS:
        return "Enter shows all details, or fewer again"
    if called.word.partition(" ")[0] == STAGE:
        return f"Enter goes to: {called.word}"
    if called.word == MORE:
        return "Enter lists the words that may be typed here"
    if is_units(called.word):
        return told(units_by(called.word))
    return f"Enter opens the card: {called.word}"


def typed_before(prompt: Prompt | None, text: str, *, wet: bool, refused: bool = False) -> str:
    """Return what is said of a line that comes up and was typed before: whether Enter takes it as it stands."""
    taken = None if prompt is None else taken_as(prompt, text, wet_is_a_leak=wet)
    was = "this was refused before" if refused else "this was typed before"
    if taken is not None and taken.called is None and taken.why_not:
        return f"{was} and cannot be taken: {taken.why_not} · Esc clears it"
    return f"{was}; Enter takes it now, Esc clears it"
