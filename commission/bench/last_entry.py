"""An entry that is withdrawn by ``undo``, and the question why it is wrong."""

from collections.abc import Callable, Sequence

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.text import clip
from commission.bench.ask import Question, asked_text, some_text
from commission.record.logbook import Logbook

LONGEST_TOLD = 100
"""Characters of an entry that a question repeats at most; our choice: two lines of a small window."""


WHY_UNDONE = "undo"
"""Key of the question why an entry is wrong."""


class LastEntry(Frozen):
    """An entry that ``undo`` withdraws."""

    seq: int
    """Its number."""
    what: str
    """What it holds, in a few words."""
    lead: str = ""
    """What it is, where ``undo`` says so before it, such as ``the last reading``."""

    @property
    def told(self) -> str:
        """The entry with its number."""
        return f"entry {self.seq}: {self.what}"


def latest(entries: Sequence[LastEntry], none: str) -> LastEntry:
    """Return the entry that was stored last, the first named of equals.

    Raises
    ------
    InputError
        If there are none; the message is what is given for it.
    """
    if not entries:
        raise InputError(none)
    return max(entries, key=lambda one: one.seq)


def reason_of(text: str) -> str:
    """Return the reason for a withdrawal; what is no reason but was meant for another question is refused.

    Raises
    ------
    InputError
        If it is empty or a bare yes or no, looks like a reading, or is the word that asked for the withdrawal.

    Examples
    --------
    >>> reason_of(" the wrong gauge ")
    'the wrong gauge'
    """
    why = some_text("a reason")(text)
    if why.casefold() in ("yes", "y", "ok", "no", "n"):
        raise InputError(f"{clip(why)} is no reason: Enter alone says mistyped, or type why; Esc leaves the entry")
    if why.casefold() == "undo":
        raise InputError(
            "undo was typed already: type why the entry is wrong; Enter alone says mistyped, Esc leaves it"
        )
    if why[0].isdecimal() or why[0] in "+-−" or not any(letter.isalpha() for letter in why):
        raise InputError("that looks like a reading; Enter withdraws the wrong one first, or type a reason")
    return why


def why_undone(book: Logbook, last: LastEntry, answered: Callable[[], object]) -> Question:
    """Ask why an entry is wrong before it is withdrawn.

    Parameters
    ----------
    answered
        Leaves the question once the entry is withdrawn.
    """

    def do(reason: str) -> str:
        book.withdraw(last.seq, reason)
        answered()
        return f"withdrawn: {last.told}"

    return asked_text(
        reason_of,
        do,
        key=WHY_UNDONE,
        ask=f"Why is {_short(last.told)} wrong? It stays in the log and no longer counts.",
        hint="Esc leaves it as it is.",
        proposal="mistyped",
    )


def _short(told: str) -> str:
    return told if len(told) <= LONGEST_TOLD else f"{told[: LONGEST_TOLD - 1].rstrip(' ,;')}…"
