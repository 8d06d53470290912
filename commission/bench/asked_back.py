"""What a line asks back before it does what it says: whether really to end, and why an entry is withdrawn."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from commission.base.frozen import Frozen, replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_word, with_reader
from commission.bench.deed import Deed
from commission.bench.last_entry import LastEntry, why_undone

if TYPE_CHECKING:
    from commission.bench.at_hand import StageAtHand


class Ending(Frozen):
    """How this attempt is ended."""

    what: str
    """What is ended, such as ``fill``."""
    missing: Callable[[], str]
    """Asks whether to end it although something is missing; empty where nothing is, so that it ends at once."""
    hint: str | Callable[[], str]
    """What stands beneath that question."""
    close: Callable[[], Outcome]
    """Ends and judges it, and returns what it proved."""

    @property
    def told(self) -> str:
        """What the word ``end`` does."""
        return f"end the {self.what} and judge it"


class AskedBack:
    """What every stage takes while work goes on there, undo, a note and the end, and the question it asks back.

    Parameters
    ----------
    hand
        The stage that is worked in.
    last
        Returns the entry that ``undo`` withdraws; raises InputError where there is none.
    ending
        How the attempt is ended; None where the stage asks that by itself.
    other
        Reads a line that does not answer whether to end, such as what the question names as missing.
    """

    def __init__(
        self,
        hand: "StageAtHand[Any]",
        last: Callable[[], LastEntry],
        ending: Ending | None = None,
        other: Callable[[str], Deed] | None = None,
    ) -> None:
        self._hand = hand
        self._last = last
        self._ending = ending
        self._other = other
        self.what = ""
        """Which question, such as ``undo`` or ``end``; empty where none is."""
        self._wrong: LastEntry | None = None

    def ask(self, what: str) -> None:
        """Ask something back; nothing is done yet, and there is nothing to say."""
        self.what = what
        self._wrong = self._last() if what == "undo" else None

    @property
    def wrong(self) -> LastEntry:
        """The entry that ``undo`` was typed for, whatever was stored since by a reading that comes by itself."""
        return self._wrong or self._last()

    def back(self) -> bool:
        """Leave the question; return whether there was one."""
        had, self.what = bool(self.what), ""
        return had

    def question(self) -> Question | None:
        """Return what is asked back about undo or the end; None where neither is."""
        if self.what == "undo":
            return why_undone(self._hand.book, self.wrong, self.back)
        return self._really_end(self._ending) if self.what == "end" and self._ending is not None else None

    # --- what a line does ------------------------------------------------------------------------------------

    def deed(self, word: str, rest: str) -> Deed:
        """Return what ``undo``, ``note`` or ``end`` does, with what was typed behind it.

        Raises
        ------
        InputError
            If there is nothing to withdraw, or nothing was noted.
        """
        if word == "undo":
            return self.undo_deed()
        if word == "end" and self._ending is not None:
            return self._end_deed(self._ending)
        return self._hand.note_deed(rest)

    def undo_deed(self) -> Deed:
        """Return what ``undo`` does: it asks why."""
        last = self._last()
        lead = f"{last.lead}, " if last.lead else ""
        return Deed(told=f"withdraw {lead}{last.told}", do=lambda: self.ask("undo"))

    def _end_deed(self, ending: Ending) -> Deed:
        return Deed(told=ending.told, do=lambda: self.ask("end") if ending.missing() else self._close(ending))

    def _really_end(self, ending: Ending) -> Question:
        asked = asked_word(
            "end",
            "yes",
            key="really end",
            ask=ending.missing() or f"Nothing is missing any more. Enter ends the {ending.what} and judges it.",
            hint=ending.hint if isinstance(ending.hint, str) else ending.hint(),
            do=lambda: self._close(ending),
        )
        other = self._other
        if other is None:
            return asked

        def deed(text: str) -> Deed:
            if text.strip().casefold() in ("end", "yes"):
                return asked.deed(text)
            made = other(text)

            def do() -> str | None:
                self.back()
                return made.do()

            return replace(made, do=do)

        return with_reader(asked.prompt, deed)

    def _close(self, ending: Ending) -> str:
        """End this attempt and return what it proved."""
        outcome = ending.close()
        self.back()
        self._hand.again = False
        return f"the {ending.what} is ended: {outcome.upper()}"
