"""It went wrong: what to do first, then what happened is asked and written down, and later what was done about it."""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from commission.base.errors import CommissionError, InputError
from commission.base.frozen import replace
from commission.base.text import clip
from commission.bench.ask import Flow, Question, asked_once, asked_word, listed, one_of, one_word
from commission.bench.deed import Deed
from commission.bench.defect import ask_cure
from commission.bench.mishap.cards import Card
from commission.bench.mishap.first_aid import CASES, FIRST_AID, card_of
from commission.bench.mishap.story import next_asked
from commission.bench.mishap.told import Told
from commission.bench.mishap.words import HELP, REPAIRED
from commission.record.build_state import Finding
from commission.record.logbook import Logbook
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps

if TYPE_CHECKING:
    from commission.procedure.model import Help

DONE = ("done", "off", "out", "ok", "yes")
"""Words that say that the first actions were done."""


class MishapFlow(Flow):
    """Asks one thing after another, and writes it down at the end; nothing else is touched.

    Parameters
    ----------
    book
        The logbook.
    told
        What is known already: the build, empty where it is to be asked, and what was called.
    near
        Name of the build that is proposed, where it is asked.
    """

    def __init__(self, book: Logbook, told: Told, *, near: str | None = None) -> None:
        super().__init__()
        self.book = book
        self.said = ""
        """What was written down; empty where nothing was."""
        self.over = False
        """Whether it is through."""
        self._near = near
        self._first = told
        self.call(told.what)

    def call(self, word: str, *, where: str = "") -> None:
        """Begin with another card; what was answered before is left."""
        self.refresh()
        self._path: list[tuple[Told, str]] = []
        self._text, self._again = "", ""
        self._known = replace(self._first, what=word, where=where or self._first.where)

    @property
    def aid(self) -> Card | None:
        """What to do first; None where it is asked what happened, or what was repaired."""
        return card_of(self._known.what)

    @property
    def cases(self) -> Mapping[str, str]:
        """What may have happened, each word with what it means; none where it is known."""
        return CASES if self._known.what == HELP else {}

    def title(self) -> str:
        """Return the build's name, where it is known, and what is told here."""
        build = self._known.build_id
        return f"{self.book.build(build).name} · it went wrong" if build else "it went wrong"

    def back(self) -> bool:
        """Take back the last answer; return whether there was one."""
        if not self._path:
            return False
        self._known, self._again = self._path.pop()  # what was answered stands there to be taken, or typed over
        self.refresh()
        return True

    def answer(self, text: str) -> str:
        """Do what was answered and return a line that says so.

        Raises
        ------
        CommissionError
            If it cannot be understood, or not be stored.
        """
        self._text = text
        return super().answer(text)

    def help(self) -> "Help":
        """Return what there is to know here."""
        from commission.procedure.model import Help

        return Help(
            purpose=(
                "What to do first when it went wrong, in order. Then what happened is written "
                "down, and what it undoes is stale. What runs goes on as logged: end it there."
            ),
            good="Nobody is hurt, everything is off, and the defect is in the log.",
            bad="Esc goes back a question, then to where you were. Type repaired on any line once it is.",
        )

    # --- questions -------------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now."""
        known = self._known
        if known.what == HELP:
            return self._what()
        if self.aid is not None and not known.acted:
            return self._act()
        if not known.build_id:
            return self._which()
        if self.book.read_only_because:
            return self._leave(f"Read only: {self.book.read_only_because}. Enter goes back.")
        return self._repair() if known.what == REPAIRED else self._story(known)

    def _what(self) -> Question:
        def read(text: str) -> Told:
            word = one_of(text, {each: each for each in CASES}, "case")
            return replace(self._known, what=word, last=word)

        return self._step("what", "What happened? Type its word.", "Esc goes back without an entry.", read)

    def _act(self) -> Question:
        if self._known.what in FIRST_AID:
            return self._leave("Do 1, 2 and 3 now, in order. Enter goes back.")

        def read(text: str) -> Told:
            return replace(self._known, acted=True, last=one_word(*DONE)(text))

        hint = "PgDn: what comes after. Esc: back, no entry."
        return self._step("act", "Do 1, 2 and 3 now, in order. Enter once done.", hint, read, DONE[0])

    def _which(self) -> Question:
        builds = {row.build_id: row.name for row in self.book.builds()}
        if not builds:
            return self._leave("There is no build yet to write it down for. Enter goes back.")

        def read(text: str) -> Told:
            wanted = text.strip()
            named = [each for each, name in builds.items() if name == wanted]
            if wanted.isdecimal() and not named:  # no numbers are shown: one was meant for something else
                raise InputError(f"{clip(wanted)} is a number; type a name: {listed(list(builds.values()))}")
            build_id = named[0] if len(named) == 1 else one_of(text, builds, "build")
            return replace(self._known, build_id=build_id, last=builds[build_id])

        near = self._near or (next(iter(builds.values())) if len(builds) == 1 else None)
        return self._step("build", "Which build was it?", "its name, or a part of it", read, near)

    def _story(self, known: Told) -> Question:
        asked = next_asked(known.what, known)
        if asked is None:
            return asked_word(
                "store", key="mishap store", ask="Enter writes it down.", hint="", do=lambda: self._write(known)
            )
        return self._step(asked.key, asked.ask, asked.hint, asked.read, asked.proposal)

    def _step(
        self, key: str, ask: str, hint: str, read: Callable[[str], Told], proposal: str | None = None
    ) -> Question:
        """Ask something that makes the story fuller; the last answer writes it down."""

        def deed(text: str) -> Deed:
            known = read(text)
            return Deed(told=known.last, do=lambda: self._take(known))

        return asked_once(deed, key=f"mishap {key}", ask=ask, hint=hint, proposal=self._again or proposal)

    def _leave(self, ask: str) -> Question:
        return asked_word("back", *DONE, key="mishap leave", ask=ask, hint="", do=lambda: self._through(""))

    # --- what an answer does ---------------------------------------------------------------------------------

    def _take(self, known: Told) -> str:
        before, self._known = self._known, known
        mishap = known.what in tuple(Mishap) and known.acted and bool(known.build_id)
        if mishap and not self.book.read_only_because and next_asked(known.what, known) is None:
            try:
                return self._write(known)
            except CommissionError:
                self._known = before  # what could not be stored stays asked
                raise
        self._path.append((before, self._text))
        self._again = ""
        return ""

    def _write(self, known: Told) -> str:
        before = {rung.stage.id: rung.word for rung in self.book.ladder(self.book.build(known.build_id))}
        stored = self.book.work(Mishaps).note(
            known.build_id,
            Mishap(known.what),
            where=known.where,
            seen=known.seen,
            from_bottle=bool(known.from_bottle),
            on_electronics=bool(known.on_electronics),
            amount=known.amount,
        )
        after = self.book.ladder(self.book.build(known.build_id))
        fallen = [f"{rung.stage.title.lower()} {rung.word}" for rung in after if rung.word is not before[rung.stage.id]]
        return self._through(f"entry {stored.seq}, {known.what}" + (f": {', '.join(fallen)}" if fallen else ""))

    def _through(self, said: str) -> str:
        self.over, self.said = True, said
        return said

    # --- repair ----------------------------------------------------------------------------------------------

    def _repair(self) -> Question:
        found = self.book.build(self._known.build_id).open_findings
        if not found:
            return self._leave("No defect is open in this build. Enter goes back.")
        chosen = next((one for one in found if one.seq == self._known.defect), found[0] if len(found) == 1 else None)
        return self._which_defect(found) if chosen is None else self._what_was_done(chosen)

    def _which_defect(self, found: Sequence[Finding]) -> Question:
        def read(text: str) -> Told:
            seq = int(one_of(text, {str(one.seq): one.told for one in found}, "open defect"))
            return replace(self._known, defect=seq, last=next(one.told for one in found if one.seq == seq))

        named = " · ".join(f"{number} {one.told}" for number, one in enumerate(found, 1))
        return self._step("defect", "Which defect was repaired? Type its number.", named, read)

    def _what_was_done(self, found: Finding) -> Question:
        hint = "such as: new seal, turned home by hand. Only the stage done again shows whether it worked."
        return ask_cure(found, hint, self._repaired)

    def _repaired(self, finding_id: str, done: str) -> None:
        stored = self.book.work(Mishaps).repaired(self._known.build_id, finding_id, done)
        self._through(f"entry {stored.seq}, repaired: {done}")
