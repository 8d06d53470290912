"""``undo`` in every stage: the last entry of that stage is withdrawn, said which, with a reason."""

from typing import TYPE_CHECKING, Protocol

from commission.base.errors import InputError, NotAllowed
from commission.bench.ask import Question, with_reader
from commission.bench.deed import Deed
from commission.bench.last_entry import LastEntry, why_undone
from commission.record.fold import withdrawn_numbers
from commission.record.payload import kind_shown

if TYPE_CHECKING:
    from commission.record.build_state import BuildState
    from commission.record.logbook import Logbook
    from commission.record.logged import Logged
    from commission.record.stage_work import StageWork


class Hand(Protocol):
    """A stage of a build as last read."""

    book: "Logbook"
    build_id: str
    state: "BuildState"

    @property
    def work(self) -> "StageWork":
        """The use cases of the stage."""


class Undo:
    """Takes ``undo`` wherever a stage does not take it itself, and asks why.

    Parameters
    ----------
    hand
        The stage that is worked in.
    """

    def __init__(self, hand: Hand) -> None:
        self._hand = hand
        self._asked: LastEntry | None = None

    def back(self) -> bool:
        """Leave the question; return whether there was one."""
        had, self._asked = self._asked is not None, None
        return had

    def over(self, question: Question | None) -> Question | None:
        """Return the question why, where it is asked; else the one that is given, with ``undo`` among its answers."""
        if self._asked is not None:
            return why_undone(self._hand.book, self._asked, self.back)
        if question is None or question.prompt.key == "undo":
            return question

        def deed(text: str) -> Deed:
            return self._deed(question) if text.strip().casefold() == "undo" else question.deed(text)

        return with_reader(question.prompt, deed)

    def _deed(self, question: Question) -> Deed:
        """Return what ``undo`` does: withdraw the last entry of the stage, in the stage's own words where it has any.

        Where that entry is never withdrawn, the stage may know of another, such as a reading before a longer plan.
        """
        try:
            last = last_of_stage(self._hand)
        except NotAllowed:
            own = _own(question)
            if own is None:
                raise
            return own
        own = _own(question)
        if own is not None and f"entry {last.seq}: " in own.told:
            return own
        return Deed(told=f"withdraw {last.told}", do=lambda: self._ask(last))

    def _ask(self, last: LastEntry) -> None:
        self._asked = last


def _own(question: Question) -> Deed | None:
    """Return what a stage itself takes ``undo`` for; None where it does not take it, or has nothing to withdraw."""
    try:
        own = question.deed("undo")
    except InputError:
        return None
    return own if own.told.startswith("withdraw ") else None


def last_of_stage(hand: Hand) -> LastEntry:
    """Return the last entry of a stage that was not withdrawn.

    Raises
    ------
    NotAllowed
        If there is none, or it is one that is never withdrawn.
    """
    entries = hand.book.entries(hand.build_id)
    gone = withdrawn_numbers(entries)
    of_it = (one for one in reversed(entries) if one.seq not in gone and _stage_of(hand, one) == hand.work.stage_id)
    last = next(of_it, None)
    if last is None:
        raise NotAllowed("nothing was recorded in this stage yet; there is nothing to undo")
    hand.book.refuse_withdrawal(last)
    text = hand.book.entry_text(last.payload, names=hand.book.names(entries))
    kind = kind_shown(last.payload)
    return LastEntry(seq=last.seq, what=f"{kind}, {text}" if text else kind)


def _stage_of(hand: Hand, entry: "Logged") -> str:
    """Return the id of the stage that an entry was made in; empty where in none."""
    named = getattr(entry.payload, "stage", None)
    if isinstance(named, str):
        return named
    cured = getattr(entry.payload, "finding_id", None)
    if cured is not None:
        return next((one.raised.stage for one in hand.state.findings if one.raised.finding_id == cured), "")
    face = hand.book.registry.of(entry.payload)
    return "" if face is None else face.id
