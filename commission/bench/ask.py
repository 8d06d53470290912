"""One question at a time: what is asked, how the answer is understood, and what it does."""

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Never, Protocol, Unpack

from commission.base.errors import InputError
from commission.base.frozen import Frozen, replace
from commission.base.text import clip, shortens
from commission.bench.card import CardContent
from commission.bench.deed import Deed
from commission.bench.no_name import OF_THE_PROGRAM
from commission.bench.prompt import AskedSo, Prompt
from commission.bench.words_here import ASKED_FOR, hear
from commission.record.ladder import StageState

if TYPE_CHECKING:
    from commission.bench.clock_times import ClockTimes
    from commission.procedure.model import Help
    from commission.record.machine.board_sensors import BoardReading


class Question(Frozen):
    """A prompt, and what its answer does."""

    prompt: Prompt
    """What is asked."""
    deed: Callable[[str], Deed]
    """Returns what an answer does, read once; raises where it cannot be understood or may not be done."""


class _Once:
    """Reads a line once: what was told of it while it was typed is the deed that is done.

    Parameters
    ----------
    read
        Returns what a line does; raises where it cannot be understood or may not be done.
    """

    def __init__(self, read: Callable[[str], Deed]) -> None:
        self._read = read
        self._last: tuple[str, Deed] | None = None

    def __call__(self, text: str) -> Deed:
        """Return what a line does; raises what the reader raises."""
        if self._last is None or self._last[0] != text:
            self._last = (text, self._read(text))
        return self._last[1]


def with_reader(prompt: Prompt, read: Callable[[str], Deed]) -> Question:
    """Return a question whose answer is read once: what is told of it is the deed that Enter does.

    Parameters
    ----------
    prompt
        What is asked; what it understands is left out.
    read
        Returns what an answer does; raises InputError or NotAllowed.
    """
    once = _Once(read)
    return Question(prompt=replace(prompt, understand=lambda text: once(text).told), deed=once)


def asked_once(read: Callable[[str], Deed], **prompt: Unpack[AskedSo]) -> Question:
    """Return a question by what its prompt says; ``read`` as in ``with_reader``."""
    return with_reader(Prompt(**prompt), read)


def asked_word(*words: str, key: str, ask: str, hint: str, do: Callable[[], str | None]) -> Question:
    """Return a question that is answered by one of some words, all meaning the first, which Enter offers."""
    return asked_choice((words, Deed(told=words[0], do=do)), key=key, ask=ask, hint=hint, proposal=words[0])


def asked_text(read: Callable[[str], str], do: Callable[[str], str | None], **prompt: Unpack[AskedSo]) -> Question:
    """Return a question that is answered by a text, such as why; what is read of it is told, and given on.

    Parameters
    ----------
    read
        Returns the text as it is meant; raises InputError.
    do
        Does it, and returns what was done in one line.
    prompt
        What is asked.
    """

    def deed(text: str) -> Deed:
        said = read(text)
        return Deed(told=said, do=lambda: do(said))

    return asked_once(deed, **prompt)


def asked_choice(*choices: tuple[Sequence[str], Deed], **prompt: Unpack[AskedSo]) -> Question:
    """Return a question with some answers: of each the words for it and what it does; the first is named in a refusal.

    Parameters
    ----------
    choices
        The answers.
    prompt
        What is asked.
    """
    first = choices[0][0][0]
    return asked_once(lambda text: choice_of(text, *choices, offered=prompt.get("proposal") == first), **prompt)


def choice_of(text: str, *choices: tuple[Sequence[str], Deed], offered: bool = False) -> Deed:
    """Return what the answer does whose word was typed; ``offered``: Enter alone does the first.

    Raises
    ------
    InputError
        If it is none of the words.
    """
    hear(words[0] for words, _ in choices)
    deeds = (deed for words, deed in choices if text.strip().casefold() in words)
    return next(deeds, None) or not_expected(text, choices[0][0][0], offered=offered)


class Asked:
    """The question that was shown: what was told of a line while it was typed is the very deed that Enter does.

    Parameters
    ----------
    ask
        Returns what is asked now; None where nothing is.
    """

    def __init__(self, ask: Callable[[], Question | None]) -> None:
        self._ask = ask
        self._shown: Question | None = None

    def now(self) -> Prompt | None:
        """Return the prompt of what is asked now, and keep the question until it is answered."""
        self._shown = self._ask()
        return self._shown.prompt if self._shown else None

    def deed(self, text: str) -> Deed:
        """Return what an answer does; raises where nothing is asked, or it cannot be understood or done."""
        now, shown = self._ask(), self._shown
        same = now is not None and shown is not None and shown.prompt.key == now.prompt.key
        question = shown if same else now
        if question is None:
            raise InputError("nothing is asked for now")
        return question.deed(text)

    def forget(self) -> None:
        """Ask again: what was asked was answered, or the record has grown."""
        self._shown = None


class AtHand(Protocol):
    """A stage as last read."""

    @property
    def rungs(self) -> tuple[StageState, ...]:
        """The stages of the build, each with the word for its state."""

    def refresh(self) -> None:
        """Read the record again, where anything was added to it."""

    def with_undo(self, question: Question | None) -> Question | None:
        """Return what is asked, with ``undo`` among its answers."""

    def leave_undo(self) -> bool:
        """Leave the question why an entry is withdrawn; return whether it was asked."""


class Flow:
    """The way through one stage or sheet: asks one thing, does what is answered, shows what is known.

    Parameters
    ----------
    hand
        The stage as last read, which is read again with the flow; None for a sheet.
    """

    wet_is_a_leak = False
    """Whether ``wet`` means a leak on any of its lines."""

    def __init__(self, hand: AtHand | None = None) -> None:
        self.go = ""
        """Where to go after the last answer: the name of a screen, or empty to stay."""
        self.did = Deed(told="")
        """The last answer."""
        self._now = Asked(self._asked)
        self._at_hand = hand

    def refresh(self) -> None:
        """Read the record again, where anything was added to it."""
        self._now.forget()
        if self._at_hand is not None:
            self._at_hand.refresh()

    def ladder(self) -> tuple[StageState, ...]:
        """Return the stages of the build, each with the word for its state; none where there is no build."""
        return () if self._at_hand is None else self._at_hand.rungs

    def question(self) -> Question | None:
        """Return what is asked now; None where nothing is."""
        raise NotImplementedError

    def card(self) -> CardContent:
        """Return everything that is known, without the prompt."""
        raise NotImplementedError

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        return "commission"

    def help(self) -> "Help | None":
        """Return what there is to know here; None where the procedure says it of the stage."""
        return None

    def times(self) -> "ClockTimes | None":
        """Return the times of the clock that runs here; None where none does."""
        return None

    def look(self) -> bool:
        """Look at what time has changed; return whether something else is asked or shown since."""
        return False

    @property
    def streams(self) -> bool:
        """Whether rows come by themselves, for `look` to store."""
        return False

    def left(self) -> None:
        """Let go what is read live: the place is left."""

    @property
    def listens(self) -> bool:
        """Whether what the board reads is wanted now."""
        return False

    def hear(self, reading: "BoardReading") -> str:
        """Take what the board read and return what was stored of it; raises CommissionError where it cannot be."""
        return ""

    def now(self) -> Prompt | None:
        """Return the prompt of the one thing to do now."""
        return self._now.now()

    def content(self) -> CardContent:
        """Return the whole card, with its prompt."""
        return replace(self.card(), prompt=self.now())

    def answer(self, text: str) -> str:
        """Do what was answered and return a line that says so.

        Raises
        ------
        CommissionError
            If it cannot be done; nothing was stored, unless the message says otherwise.
        """
        self.go = ""
        deed = self._now.deed(text)
        done, self.go, self.did = deed.done(), deed.go, deed
        self.refresh()
        return done

    def _asked(self) -> Question | None:
        question = self.question()
        return question if self._at_hand is None else self._at_hand.with_undo(question)

    def step_back(self) -> bool:
        """Go one step back; return whether there was one to go."""
        return (self._at_hand is not None and self._at_hand.leave_undo()) or self.back()

    def back(self) -> bool:
        """Leave a half-answered form; return whether there was one."""
        return False


def command(text: str, words: Collection[str]) -> tuple[str, str]:
    """Part a leading word of command from what follows it; a mapping of words tells what each does (`hear`).

    Examples
    --------
    >>> command("limit 5e-3 mbar L/s", ["limit", "time"])
    ('limit', '5e-3 mbar L/s')
    >>> command("497,5 21.3", ["note"])
    ('', '497,5 21.3')
    """
    hear(words)
    head, _, rest = text.strip().partition(" ")
    word = head.casefold().rstrip(":=")
    return (word, rest.strip()) if word in words else ("", text.strip())


def one_of(text: str, known: Mapping[str, str], what: str) -> str:
    """Return the key of the name that was meant: by its number, whole, or by a part that only one has.

    Raises
    ------
    InputError
        If none or several fit; the message lists them.

    Examples
    --------
    >>> one_of("dial", {"a": "digital gauge", "b": "dial gauge"}, "gauge")
    'b'
    >>> one_of("1", {"a": "digital gauge", "b": "dial gauge"}, "gauge")
    'a'
    >>> one_of("read", {"a": "ready mix", "b": "water"}, "base")
    Traceback (most recent call last):
    ...
    commission.base.errors.InputError: "read" is a word of this program; type one of ready mix, water
    """
    wanted = " ".join(text.casefold().split())
    keys = list(known)
    if wanted.isdecimal() and 1 <= int(wanted) <= len(keys):
        return keys[int(wanted) - 1]
    names = {key: " ".join(known[key].casefold().split()) for key in keys}
    if wanted in OF_THE_PROGRAM and wanted not in names.values():
        raise InputError(f"{clip(text)} is a word of this program; type one of {listed([*known.values()])}")
    for fits in (
        [key for key in keys if names[key] == wanted],
        [key for key in keys if wanted and names[key].startswith(wanted)],
        [key for key in keys if wanted and wanted in names[key]],
        [key for key in keys if shortens(wanted, names[key])],
    ):
        if len(fits) == 1:
            return fits[0]
        if fits:
            raise InputError(f"{clip(text)} fits {listed([known[key] for key in fits])}; type more of it")
    raise InputError(f"{clip(text)} is no {what}; type one of {listed([known[key] for key in keys])}")


def listed(names: Sequence[str]) -> str:
    """Return names in one line, at most ten of them.

    >>> listed(["hose off", "valve shut, line vented"])
    'hose off; valve shut, line vented'
    """
    shown = ("; " if any("," in name for name in names) else ", ").join(names[:10])
    return f"{shown} and {len(names) - 10} more" if len(names) > 10 else shown


def one_word(*words: str) -> Callable[[str], str]:
    """Return a reader that takes one of the words and nothing else; the first is what is meant by all of them."""

    def understand(text: str) -> str:
        return words[0] if text.strip().casefold() in words else not_expected(text, words[0])

    return understand


def change_of(text: str, words: Collection[str]) -> tuple[str, str]:
    """Part the word that says what of a thing is changed from its new value.

    Raises
    ------
    InputError
        If it is none of the words, or nothing follows it.
    """
    word, rest = command(text, words)
    if not word or not rest:
        raise InputError(f"{clip(text)} says not what it changes; start with one of {', '.join(words)}")
    return word, rest


def date_of(text: str) -> str:
    """Return a date as it is stored.

    Raises
    ------
    InputError
        If it is none.

    Examples
    --------
    >>> date_of("2026-03-31")
    '2026-03-31'
    """
    if not re.fullmatch(r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])", text):
        raise InputError(f"{clip(text)} is no date; type it as year-month-day, such as 2026-03-31")
    return text


def not_expected(text: str, word: str, *, offered: bool = False) -> Never:
    """Refuse what was typed in place of a word; ``offered``: Enter alone is that word."""
    raise InputError(f"{clip(text)} was not expected here; type {word}{', or press Enter alone' if offered else ''}")


def some_text(what: str, longest: int = 400) -> Callable[[str], str]:
    """Return a reader that takes any text that is not empty or overlong."""

    def understand(text: str) -> str:
        stripped = text.strip()
        if not stripped or stripped.casefold() in ASKED_FOR:
            raise InputError(f"type {what}{f', not {clip(stripped)}' if stripped else ''}")
        if len(stripped) <= longest:
            return stripped
        raise InputError(f"that has {len(stripped)} characters; {longest} are the most")

    return understand
