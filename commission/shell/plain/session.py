"""The bench line by line: tells what is new and what is asked, takes a line, tells what came of it.

It knows no stream: what it tells goes to a function, and whoever has a line hands it over.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import CommissionError, Damaged, NotConfirmed
from commission.bench.clock_times import DUE_SOON_S, clock_words
from commission.bench.prompt import shown_when_empty
from commission.bench.taken_as import DETAILS, STAGE, is_units, taken_as, units_by
from commission.bench.words_here import MORE, told_here, with_more
from commission.shell.plain.told import Told, help_lines
from commission.shell.plain.walk import Walk
from commission.shell.plain.words import OWN, own_word, spoken
from commission.units.chosen import told as told_units
from commission.units.chosen import units_now, use_units

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.bench.face import Face
    from commission.bench.mishap.words import Called
    from commission.bench.prompt import Prompt
    from commission.bench.unsent_kept import KeptUnsent
    from commission.record.logbook import Logbook
    from commission.record.machine.board_sensors import BoardReading
    from commission.units.chosen import Chosen

MARK = "."
"""Stands before a word of ours where a name or a reason is asked, and the bare word would be that."""
NOTHING_ASKED = "Nothing is asked here. Type stages, back or help."
SEE_LOG = "Look in the log whether the last entry is there before you type it again: type .log"


class Session:
    """One way through the bench.

    Parameters
    ----------
    book, faces
        The logbook and the stages.
    say
        Takes each line that is told.
    kept
        Remembers the answers of forms that are not stored yet.
    board
        Reads the speeds that the computer offers; called while a sweep is read live.
    keep_units
        Keeps the units that amounts are shown in; None: nobody does.
    """

    def __init__(
        self,
        book: Logbook,
        faces: tuple[Face, ...],
        say: Callable[[str], None],
        *,
        kept: KeptUnsent,
        board: Callable[[], BoardReading],
        keep_units: Callable[[Chosen], None] | None = None,
    ) -> None:
        self.over = False
        """Whether the end was asked for."""
        self.refused = False
        """Whether the last line was refused."""
        self._walk = Walk(book, faces, kept)
        self._book = book
        self._say_line = say
        self._board = board
        self._keep_units = keep_units
        self._told = Told()
        self._asked: tuple[str, str, str, str] | None = None
        """Key, question, hint and example that were told last."""
        self._titled = ""
        self._due_told = False
        self._read_only = ""
        self._doubted = ""
        """A word of ours that was typed where any text is an answer: here nobody sees beforehand how it is taken."""

    def open(self, build_id: str) -> None:
        """Begin at a build."""
        self._walk.open(build_id)

    def close(self) -> None:
        """Keep what is half answered, for the next time."""
        self._walk.save()

    # --- what is told ----------------------------------------------------------------------------------------

    def ask(self) -> None:
        """Tell what is new since the last line, and what is asked."""
        self._tell_access()
        walk = self._walk
        walk.place.refresh()
        title = walk.place.title()
        if title != self._titled or walk.moved:
            self._titled, self._told, self._asked = title, Told(), None
            self._say("")
            self._say(title)
        for line in walk.news:
            self._say(line)
        walk.news.clear()
        told, prompt = walk.place.told(), with_more(walk.place.flow.now())
        key = prompt.key if prompt is not None else ""
        new = [line for line in told.lines if line not in self._told.lines]
        if self._asked is None or key != self._asked[0]:
            new += [line for line in told.figures if line not in self._told.figures]
            self._told = told
        else:
            self._told = Told(lines=told.lines, figures=self._told.figures)
        for line in new:
            self._say(line)
        self._tell_time()
        self._question(prompt)
        walk.moved = walk.stored = False

    def _question(self, prompt: Prompt | None) -> None:
        """Tell what is asked, and its hint and example where they are not those of the question before."""
        if prompt is None:
            self._say(NOTHING_ASKED)
            return
        _, _, hint, takes = self._asked or ("", "", "", "")
        self._say(f"question: {prompt.ask}")
        if prompt.hint and prompt.hint != hint:
            self._say(prompt.hint if prompt.hint.startswith(("or", "such as")) else f"hint: {prompt.hint}")
        if prompt.proposal is not None:
            self._say(f"Enter takes: {prompt.proposal}")
        elif (example := shown_when_empty(prompt)) and example != takes:
            self._say(example)
        self._asked = prompt.key, prompt.ask, prompt.hint, shown_when_empty(prompt)

    def _tell_time(self) -> None:
        """Tell the clock where the line before was stored or the place is new, and once where something fell due."""
        times = self._walk.place.flow.times()
        if times is None:
            self._due_told = False
            return
        due = times.due_in_s is not None and times.due_in_s < DUE_SOON_S
        if self._walk.moved or self._walk.stored or due != self._due_told:
            self._say(f"clock: {', '.join(part for part in clock_words(times) if part)}")
        self._due_told = due

    def _tell_access(self) -> None:
        """Tell why nothing can be recorded, where that is new, and that it can be again."""
        book = self._book
        if book.read_only_because and book.take_over():
            self._say("The other window is closed: this one records now.")
        because = book.read_only_because
        if because != self._read_only and because:
            self._say(f"Read only: {because}")
        self._read_only = because
        book.changed()

    def _say(self, line: str) -> None:
        self._say_line(spoken(line, self._walk.places.keys))

    # --- a line ----------------------------------------------------------------------------------------------

    def take(self, typed: str) -> None:
        """Do what a line says, and tell what came of it."""
        self.refused = False
        try:
            self._take(typed.strip())
        except CommissionError as error:
            self._refuse(str(error))
        if not self.refused:
            self._doubted = ""
        self._walk.save()

    def _take(self, text: str) -> None:
        prompt = self._walk.place.flow.now()
        if text.startswith(MARK) and text[1:2].isalpha():
            if not self._own(text[1:]):
                self._refuse(f"{text} is no word of this program; .help lists them")
        elif self._walk.at_builds and text != MORE and self._walk.names_no_build(text) and self._own(text):
            pass
        elif prompt is None:
            if not self._own(text):
                self._refuse(NOTHING_ASKED)
        elif not text and prompt.proposal is None:
            self._refuse("nothing was typed")
        else:
            self._enter(prompt, text)

    def _enter(self, prompt: Prompt, text: str) -> None:
        taken = taken_as(prompt, text, wet_is_a_leak=self._walk.flow is not None and self._walk.flow.wet_is_a_leak)
        if taken.called is not None:
            self._called(prompt, taken.called)
        elif taken.why_not:
            if not self._own(text):
                self._refuse(f"not stored: {taken.why_not}")
        elif (word := own_word(text)) and self._doubted != text and _takes_any_text(prompt):
            self._doubted = text
            self._refuse(f'"{text}" is a word of this program. Type it again to store it, or {MARK}{word}')
        else:
            self._answer(prompt, text or prompt.proposal or "", taken.understood)

    def _called(self, prompt: Prompt, called: Called) -> None:
        """Do what a line calls: details, the words that are taken, units, a stage, or a card of what went wrong."""
        word, _, rest = called.word.partition(" ")
        if word == DETAILS:
            self._details()
        elif word == MORE:
            for line in told_here(prompt):
                self._say(line)
        elif is_units(called.word):
            self._units(units_by(called.word))
        elif word == STAGE:
            self._walk.go_to_stage(rest)
        else:
            if called.before:
                self._say(f"not entered: {called.before}")
            self._walk.went_wrong(called.word, where=called.where, seen=called.seen)

    def _units(self, chosen: Chosen) -> None:
        """Show every amount in these units from now on, and keep that; what is known is told again in them."""
        if chosen != units_now():
            if self._keep_units is not None:
                self._keep_units(chosen)
            use_units(chosen, of_bare=True)
            self._told, self._asked = Told(), None
        self._say(told_units(chosen))

    def _answer(self, prompt: Prompt, entered: str, understood: str) -> None:
        try:
            done = self._walk.answer(prompt, entered)
        except CommissionError as error:
            self._refuse(f"not stored: {error}")
            if isinstance(error, NotConfirmed | Damaged):
                self._say(f"NOT CONFIRMED. {SEE_LOG}")
            return
        if understood and understood not in done:
            self._say(f"understood: {understood}")
        if done:
            self._say(f"stored: {done}" if self._walk.stored else done)
        self._walk.go_on()

    def _refuse(self, why: str) -> None:
        self.refused = True
        self._say(why)

    def _own(self, text: str) -> bool:
        """Do a word of ours, or go to the place that is named; return whether it was one."""
        word = own_word(text)
        match word:
            case "leave":
                self.over = True
            case "details":
                self._details()
            case "again":
                self._told, self._asked, self._walk.moved = Told(), None, True
            case "help":
                self._help()
            case "stages" | "show":
                for line in self._walk.lines_of_build(word):
                    self._say(line)
            case _:
                return self._walk.go_by_word(word, text)
        return True

    def _details(self) -> None:
        told = self._walk.place.told()
        for line in (*told.lines, *told.figures, *told.more):
            self._say(line)

    def _help(self) -> None:
        help_ = self._walk.help()
        for line in help_lines(help_) if help_ is not None else ():
            self._say(line)
        for word, does in OWN.items():
            self._say(f"{word}: {does}")
        self._say(f"places: {', '.join(sorted(self._walk.places.names))}")
        self._say("on any line: leak, spill, smoke, burst or help! tells what to do first; repaired, once a defect is")
        self._say("in a stage: at 14:05 before a line says that it was done then; began 14:05, that work began then")
        self._say(f"where a name or a reason is asked, put a point before a word of the program: {MARK}back")

    def look_round(self) -> None:
        """Read the board where a sweep waits for it, and tell what came of that; called while no line comes."""
        flow = self._walk.flow
        if flow is not None and flow.streams:
            flow.look()
        if flow is None or not flow.listens:
            return
        before = self._asked
        try:
            done = flow.hear(self._board())
        except CommissionError as error:
            self._refuse(f"not stored: {error}")
            return
        if done:
            self._walk.stored = True
            self._say(f"stored: {done}")
        prompt = self._walk.place.flow.now()
        if done or (prompt is not None and before is not None and prompt.ask != before[1]):
            self.ask()


def _takes_any_text(prompt: Prompt) -> bool:
    """Return whether a question takes any words for its answer, such as a name or a reason."""
    try:
        prompt.understand("whatever is typed here")
    except CommissionError:
        return False
    return True
