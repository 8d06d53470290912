"""The record of a build: every entry, the end of the chain, and withdrawing one with a reason."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.text import clip
from commission.bench.ask import Flow, Question, asked_once, asked_text, command, some_text
from commission.bench.deed import Deed
from commission.bench.entry_row import EntryRow
from commission.bench.figures import clock_time
from commission.bench.last_entry import reason_of
from commission.record.logbook import Logbook
from commission.record.logged import Logged
from commission.record.payload import kind_shown
from commission.record.record import SHOP

if TYPE_CHECKING:
    from commission.procedure.model import Help


class RecordFlow(Flow):
    """Shows the entries of a build and withdraws one of them; fits a list as a source of rows."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__()
        self.book = book
        self.build_id = build_id
        self.withdrawing: Logged | None = None
        self.refresh()

    def refresh(self) -> None:
        """Read the record again."""
        super().refresh()
        self.state = self.book.build(self.build_id)
        own = self.book.entries(self.build_id)
        self.entries: Sequence[Logged] = sorted((*own, *self.book.entries(SHOP)), key=lambda entry: entry.seq)
        self.withdrawn = self.state.withdrawn
        self.names = self.book.names(own)

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        return f"{self.state.name} · log"

    def count(self) -> int:
        """Return how many entries there are."""
        return len(self.entries)

    def fetch(self, start: int, stop: int) -> Sequence[EntryRow]:
        """Return some of them, ready to read."""
        return [self._row(entry) for entry in self.entries[start:stop]]

    def head(self) -> str:
        """Return the end of the chain: written down elsewhere, it shows whether anything was cut off later."""
        head = self.book.head()
        return f"last entry {head.seq}, chain {head.digest[:16]}" if head.seq else "nothing is recorded yet"

    def back(self) -> bool:
        """Leave the withdrawal that was begun."""
        had, self.withdrawing = self.withdrawing is not None, None
        return had

    def choose(self, seq: int) -> None:
        """Begin to withdraw an entry."""
        self._now.forget()
        self.withdrawing = self._entry(seq)

    def help(self) -> "Help":
        """Return what there is to know here."""
        from commission.procedure.model import Help

        return Help(
            purpose="Everything that was entered, in order, and never changed. The number at the end and its chain "
            "show whether anything was cut off later: write them down elsewhere.",
            good="Each entry says who, when and what as it was typed.",
            bad="A wrong entry is withdrawn with a reason: choose it, or type its number. It stays and no longer "
            "counts; a verdict that rested on it becomes stale. A start or an end cannot be withdrawn: add a note.",
        )

    def question(self) -> Question:
        """Return what is asked now."""
        return self._which() if self.withdrawing is None else self._why(self.withdrawing)

    def _which(self) -> Question:
        return asked_once(
            self._deed,
            key="record",
            ask="Type the number of a wrong entry to withdraw it, or note and what is worth remembering.",
            hint="Up and down scroll. Nothing is ever changed: a withdrawn entry stays and no longer counts.",
        )

    def _deed(self, text: str) -> Deed:
        word, rest = command(text, ("note", "withdraw"))
        if word == "note":
            note = some_text("the note after the word")(rest)
            return Deed(told=f"note: {note}", do=lambda: self._note(note))
        entry = self._entry(_number(rest))
        told = f"withdraw entry {entry.seq}, {kind_shown(entry.payload)}: {self._told(entry)}"
        return Deed(told=told, do=lambda: self._begin(entry))

    def _note(self, note: str) -> str:
        return f"entry {self.book.add_note(self.build_id, note).seq} · note: {note}"

    def _begin(self, entry: Logged) -> None:
        self.withdrawing = entry

    def _why(self, entry: Logged) -> Question:
        def do(reason: str) -> str:
            logged = self.book.withdraw(entry.seq, reason)
            self.withdrawing = None
            return f"entry {logged.seq} withdraws entry {entry.seq}"

        return asked_text(
            reason_of,
            do,
            key="why",
            ask=f"Why is entry {entry.seq} wrong ({kind_shown(entry.payload)}: {self._told(entry)[:60]})?",
            hint="a reason; Esc leaves it as it is",
        )

    def _entry(self, seq: int) -> Logged:
        for entry in self.entries:
            if entry.seq == seq:
                return entry
        raise InputError(f"entry {seq} is not of this build; its numbers stand at the left")

    def _told(self, entry: Logged) -> str:
        return self.book.entry_text(entry.payload, names=self.names)

    def _row(self, entry: Logged) -> EntryRow:
        seen = ""
        if entry.observed_ms is not None:
            seen = f"seen {clock_time(entry.mark, entry.observed_ms, today=entry.mark)} · "
        return EntryRow(
            seq=entry.seq,
            when=clock_time(entry.mark),
            who=entry.operator,
            kind=kind_shown(entry.payload),
            what=seen + self._told(entry),
            withdrawn=entry.seq in self.withdrawn,
        )


def _number(text: str) -> int:
    stripped = text.strip()
    if not stripped.isascii() or not stripped.isdecimal() or len(stripped) > 12:
        raise InputError(f"{clip(text)} is no number of an entry; type such as 12, or note and a text")
    return int(stripped)
