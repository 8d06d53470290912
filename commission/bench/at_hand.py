"""What the stages have in common: a lock that may be overridden, and cautions answered one by one."""

from functools import cached_property
from typing import TYPE_CHECKING, Generic, TypeVar

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.bench.ask import Question, asked_once, command, one_word, some_text
from commission.bench.card import CardContent, CautionLine, CautionMark, VerdictLine, goal_text
from commission.bench.cautions import ReadBefore, ask_folded, ask_one, folded_of, folded_text, note_beside
from commission.bench.deed import Deed, said
from commission.bench.needs import turn
from commission.bench.past import PastLines
from commission.bench.undo import Undo
from commission.procedure.model import Caution, When
from commission.record.ladder import StageState, StageWord
from commission.record.locks import why_no_override
from commission.record.logbook import Logbook
from commission.record.machine.loop import rating_text
from commission.record.stage_work import StageWork
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.procedure.model import Step

W = TypeVar("W", bound=StageWork)


class StageAtHand(Generic[W]):
    """A stage of a build as last read: its state, its lock, its cautions; what a flow asks from and its parts share.

    Parameters
    ----------
    book, build_id
        The logbook and the build.
    work
        The use cases of the stage.
    """

    def __init__(self, book: Logbook, build_id: str, work: W) -> None:
        self.book = book
        self.build_id = build_id
        self.work = work
        self.again = False
        """Whether another attempt was asked for after the last one was judged."""
        self.cautions_opened = False
        """Whether cautions that were read before are asked one by one all the same."""
        self.head = -1
        """Number of the last entry when it was read."""
        self._undo = Undo(self)
        self._past = PastLines(book)
        self.refresh()

    def with_undo(self, question: Question | None) -> Question | None:
        """Return what is asked, with ``undo`` among its answers; or why an entry is withdrawn, where that is asked.

        Any answer may stand behind a time: it was done then, and is written up now.
        """
        return self._past.over(self._undo.over(question))

    def leave_undo(self) -> bool:
        """Leave the question why an entry is withdrawn; return whether it was asked."""
        self._past.leave()
        return self._undo.back()

    def refresh(self) -> None:
        """Read the record again, where anything was added to it."""
        head = self.book.head().seq
        if head == self.head:
            return
        self.head = head
        self.state = self.book.build(self.build_id)
        self.shop = self.book.shop()
        self.stage = self.work.stage(self.state)
        for name in [one for one in vars(self) if isinstance(getattr(type(self), one, None), cached_property)]:
            delattr(self, name)
        self.forget()

    def forget(self) -> None:
        """Forget what was computed from the record as it was; what is cached as a property is forgotten already."""

    @cached_property
    def rungs(self) -> tuple[StageState, ...]:
        """The stages of the build, each with the word for its state."""
        return self.book.ladder(self.state)

    @property
    def rung(self) -> StageState:
        """Where this stage stands."""
        return next(rung for rung in self.rungs if rung.stage.id == self.work.stage_id)

    @property
    def onward(self) -> StageState | None:
        """The stage whose turn it is once this one has passed; None where that is this one, or all are done with."""
        rung = turn(self.rungs)
        if rung is None or rung.stage.id == self.work.stage_id:
            return None
        return None if rung.word in (StageWord.PASSED, StageWord.OVERRIDDEN) else rung

    def onward_deeds(self) -> "tuple[tuple[tuple[str, ...], Deed], ...]":
        """Return the answers that lead to the stage whose turn it is, by the word next or its name."""
        return _leads_to(self.onward)

    def open_ahead_deeds(self) -> "tuple[tuple[tuple[str, ...], Deed], ...]":
        """Return the answers that lead to the next stage that is open, though this one has not passed."""
        ids = [rung.stage.id for rung in self.rungs]
        later = self.rungs[ids.index(self.work.stage_id) + 1 :]
        return _leads_to(next((one for one in later if one.word in (StageWord.OPEN, StageWord.RUNNING)), None))

    @property
    def under_way(self) -> bool:
        """Whether an attempt runs; a stage that rests on nothing is told that without the ladder, at each reading."""
        runs = self.state.run(self.work.stage_id).running
        return runs and (not self.stage.rests_on or self.rung.word is StageWord.RUNNING)

    @property
    def locked(self) -> bool:
        """Whether what it rests on has not passed."""
        return self.rung.word is StageWord.LOCKED

    def judged_before(self, when: When) -> bool:
        """Return whether what was judged last is shown: nothing was begun since, nor a caution of that moment read."""
        missing, every = self.work.missing_cautions(self.state, when), self.work.cautions(self.state, when)
        fresh = self.state.run(self.work.stage_id).started is None and len(missing) == len(every)
        return self.state.judged_run(self.work.stage_id) is not None and fresh and not self.again

    def try_again(self) -> None:
        """Go on to another attempt; nothing is recorded, and there is nothing to say."""
        self.again = True

    def again_deed(self, more: str = "") -> Deed:
        """Return what going on to another attempt does; ``more`` is told behind it."""
        number = self.state.run(self.work.stage_id).attempt
        return Deed(told=f"attempt {number}: cautions first{more}", do=self.try_again)

    def card(self, when: When | None, *, in_full: bool = False, work: StageWork | None = None) -> CardContent:
        """Return the card of the stage, all but its cautions still to be filled in.

        Parameters
        ----------
        when
            The moment of the cautions that stand on it; None for none.
        in_full
            Whether they are read now; else only their number is shown.
        work
            The stage whose cautions they are, where it is another.
        """
        cautions = () if when is None else self.caution_lines(when, in_full=in_full, work=work)
        runs = self.under_way and not in_full
        return CardContent(
            proves=self.stage.proves,
            rests_on=self.rests_text(),
            cautions=cautions,
            cautions_open=in_full,
            verdict=VerdictLine(word="running", text=goal_text(self.stage.proves)) if runs else None,
        )

    def step_of(self, step_id: str) -> "Step":
        """Return a step of the stage."""
        return next(step for step in self.stage.steps if step.id == step_id)

    def rests_text(self) -> str:
        """Return what the stage rests on and has not passed, with the word of each; empty where all has."""
        below = [rung for rung in self.rungs if rung.stage.id in self.stage.rests_on]
        below = [rung for rung in below if rung.word is not StageWord.PASSED]
        return ", ".join(f"{rung.stage.title.lower()} ({rung.word})" for rung in below)

    def caution_text(self, caution: Caution) -> str:
        """Return a caution with the rating of this loop's weakest part in it."""
        return worded(caution.text).replace("{rating}", rating_text(self.state.parts))

    def caution_lines(
        self, when: When, *, in_full: bool = True, work: StageWork | None = None
    ) -> tuple[CautionLine, ...]:
        """Return the cautions of a moment, of this stage or of another, the one to answer marked; or only the marks.

        Those that were read before, and have not changed, are one line. Once all are read the first stays: it is the
        worst.
        """
        work = work or self.work
        missing = work.missing_cautions(self.state, when)
        folded = {one.caution.id for one in self.folded(when, work)}
        lines: list[CautionLine] = []
        for caution in work.cautions(self.state, when):
            mark = CautionMark.OPEN if caution.id in missing else CautionMark.ANSWERED
            if missing and caution.id == missing[0]:
                mark = CautionMark.NOW
            if caution.id in folded and mark is CautionMark.OPEN and missing[0] in folded:
                continue
            stays = not missing and not lines
            told = self.caution_text(caution) if in_full or stays else ""
            if caution.id in folded and mark is CautionMark.NOW and in_full:
                told = folded_text(self.folded(when, work), self.book.clock.now())
            lines.append(CautionLine(text=told, mark=mark))
        return tuple(lines)

    def shown_at(self, card: CardContent, *whens: When) -> CardContent:
        """Return a card with the cautions of moments at which they are shown and not asked; no notice repeats them.

        What the card warns of now stands before them.
        """
        safety = tuple(self.caution_text(one) for when in whens for one in self.work.cautions(self.state, when))
        notices = tuple(one for one in card.notices if not any(text.startswith(one) for text in safety))
        return replace(card, safety=(*card.safety, *safety), notices=notices)

    def folded(self, when: When, work: StageWork) -> tuple[ReadBefore, ...]:
        """Return the cautions of a moment that are asked in one line, since the same person read them unchanged."""
        if self.cautions_opened:
            return ()
        return folded_of(self, work, when)

    def caution_step(self, when: When) -> str:
        """Return which of the cautions of a moment is asked."""
        total, left = len(self.work.cautions(self.state, when)), len(self.work.missing_cautions(self.state, when))
        return f"{total - left + 1} of {total}"

    def ask_caution(self, when: When, *, work: StageWork | None = None) -> Question:
        """Ask for the first caution of a moment that is unanswered, of this stage or of another; it takes a note."""
        work = work or self.work
        missing = work.missing_cautions(self.state, when)
        folded = self.folded(when, work)
        if any(one.caution.id == missing[0] for one in folded):
            return note_beside(self, ask_folded(self, work, folded))
        caution = next(one for one in work.stage(self.state).cautions if one.id == missing[0])
        return note_beside(self, ask_one(self, work, caution, left=len(missing)))

    def note_deed(self, text: str) -> Deed:
        """Return what writing down something worth remembering does."""
        note = some_text("the note after the word", 400)(text)
        return said(f"note: {note}", lambda: self.book.add_note(self.build_id, note, stage=self.work.stage_id))

    def step_deed(self, step: str, note: str, *, told: str = "") -> Deed:
        """Return what reporting a step done does; it is told by its name where nothing else is given."""
        done = f"step done: {step.replace('_', ' ')}"
        return said(told or done, lambda: self.work.do_step(self.build_id, step, note), answer=done)

    def ask_lock(self) -> Question:
        """Ask what to do about a stage that is locked."""
        beneath = [rung for rung in self.rungs if rung.stage.id in self.stage.rests_on]
        undone = self._undone(self.stage.rests_on)
        below = first = (undone or beneath)[0]
        while first.word is StageWord.LOCKED and (deeper := self._undone(first.stage.rests_on)):
            first = deeper[0]

        def lock_deed(text: str) -> Deed:
            if barred and not always and text.casefold().split()[:1] == ["override"]:
                raise NotAllowed(barred)
            word, rest = command(text, () if barred else ("override",))
            if word and not rest:
                raise InputError("type why the lock does not apply: override and the reason")
            if word:
                return self.override_deed(rest)
            one_word("go", "yes")(text)
            return Deed(told=f"go to {first_title}", go=first.stage.id)

        face = self.book.registry.stage(self.work.stage_id)
        always = face is not None and face.no_override
        barred = why_no_override(self.book.registry, self.state, self.work.stage_id)
        title, below_title, first_title = self.stage.title, below.stage.title.lower(), first.stage.title.lower()
        waits = f"rests on {below_title}, which is {below.word}" if undone else self.rung.why
        there = "there" if first is below else f"to {first_title}, which is {first.word}"
        return asked_once(
            lock_deed,
            key="locked",
            ask=f"{title} is locked: it {waits}. Enter goes {there}.",
            hint="" if barred else "or: override and the reason, which stands in every report from then on",
            proposal="go",
        )

    def _undone(self, stages: tuple[str, ...]) -> list[StageState]:
        """Return the rungs of these stages that no pass and no reason opened."""
        open_to_all = (StageWord.PASSED, StageWord.OVERRIDDEN)
        return [rung for rung in self.rungs if rung.stage.id in stages and rung.word not in open_to_all]

    def override_deed(self, reason: str) -> Deed:
        """Return what going on in spite of the lock does."""
        return said(
            f"go on without it, in every report: {reason}",
            lambda: self.book.override(self.build_id, self.work.stage_id, reason),
            answer=f"the lock is overridden: {reason}",
        )


def _leads_to(rung: StageState | None) -> "tuple[tuple[tuple[str, ...], Deed], ...]":
    if rung is None:
        return ()
    title = rung.stage.title
    return ((("next", "go", title.casefold()), Deed(told=f"go to {title.lower()}", go=rung.stage.id)),)
