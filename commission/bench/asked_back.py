"""What a line asks back before it does what it says: whether really to end, and why an entry is withdrawn."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from commission.base.errors import InputError
from commission.bench.ask import Question, asked_once, some_text
from commission.bench.deed import Deed
from commission.bench.prompt import Prompt
from commission.record.logbook import Logbook


@dataclass(frozen=True, slots=True, kw_only=True)
class LastEntry:
    """An entry that ``undo`` withdraws."""

    seq: int
    """Its number."""
    what: str
    """What it holds, in a few words."""

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


class AskedBack:
    """The one question that is asked back, until it is answered or left."""

    def __init__(self, book: Logbook) -> None:
        self._book = book
        self.what = ""
        """Which question, such as ``undo`` or ``end``; empty where none is."""

    def ask(self, what: str) -> str:
        """Ask something back; nothing is done yet, and there is nothing to say."""
        self.what = what
        return ""

    def back(self) -> bool:
        """Leave the question; return whether there was one."""
        had, self.what = bool(self.what), ""
        return had

    def undo_deed(self, last: LastEntry, *, told: str = "withdraw ") -> Deed:
        """Return what ``undo`` does: it asks why."""
        return Deed(told=f"{told}{last.told}", do=lambda: self.ask("undo"))

    def why_undone(self, last: LastEntry) -> Question:
        """Ask why an entry is wrong, and withdraw it."""
        return why_undone(self._book, last, self.back)


def reason_of(text: str) -> str:
    """Return the reason for a withdrawal; what is no reason but was meant for another question is refused.

    Raises
    ------
    InputError
        If it is empty, looks like a reading, or is the word that asked for the withdrawal.

    Examples
    --------
    >>> reason_of(" the wrong gauge ")
    'the wrong gauge'
    """
    why = some_text("a reason")(text)
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
    book
        The logbook.
    last
        The entry.
    answered
        Leaves the question once the entry is withdrawn.
    """

    def read(text: str) -> Deed:
        reason = reason_of(text)

        def do() -> str:
            book.withdraw(last.seq, reason)
            answered()
            return f"withdrawn: {last.told}"

        return Deed(told=reason, do=do)

    return asked_once(
        Prompt(
            key="undo",
            ask=f"Why is {last.told} wrong? It stays in the record and no longer counts.",
            hint="Esc leaves it as it is.",
            proposal="mistyped",
        ),
        read,
    )
