"""Things of the workshop that are described once, used by every build, and retired with a reason: one flow for all."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Protocol

from commission.base.frozen import Frozen
from commission.base.text import clip
from commission.bench.ask import Flow, Question, asked_once, asked_text, command, one_of, one_word, some_text
from commission.bench.card import CardContent, Figure
from commission.bench.deed import Deed

if TYPE_CHECKING:
    from commission.procedure.model import Help


class Form(Protocol):
    """Describes one of them, question by question."""

    @property
    def stored(self) -> object:
        """What was stored; None before."""

    def question(self) -> Question:
        """Return what is asked now."""

    def back(self) -> bool:
        """Go back one question; return whether there was one."""

    def figures(self) -> tuple[Figure, ...]:
        """Return what is known so far."""

    def notices(self) -> tuple[str, ...]:
        """Return what to be warned of."""


class Shelf(Frozen):
    """What stands there."""

    word: str
    """What one is called."""
    title: str
    """Where this is."""
    proves: str
    """What it is for."""
    help: "Callable[[], Help]"
    """Returns what there is to know, in the units of now."""
    names: Callable[[], Mapping[str, str]]
    """Returns the names of what is in use, by their ids."""
    rows: Callable[[], tuple[Figure, ...]]
    """Returns a row for each."""
    form: Callable[[str], Form]
    """Makes the form of a new one, or of the one with that id, which is described again."""
    retire: Callable[[str, str], object]
    """Takes the one with that id out of use, for a reason."""
    first: str
    """What to describe where there is none."""
    such: str
    """A reason to retire one, such as people type it."""
    proposal: str | None = None
    """A reason that Enter takes."""
    again: bool = False
    """Whether one may be described again."""


class ShelfFlow(Flow):
    """Describes them and takes them out of use."""

    def __init__(self, shelf: Shelf) -> None:
        super().__init__()
        self.shelf = shelf
        self.form: Form | None = None
        self.retiring = ""
        """Id of the one that is taken out of use; empty where none is."""

    def back(self) -> bool:
        """Leave what was half typed."""
        if self.form is not None:
            if not self.form.back():
                self.form = None
            return True
        had, self.retiring = bool(self.retiring), ""
        return had

    def title(self) -> str:
        """Return where this is."""
        return self.shelf.title

    def help(self) -> "Help":
        """Return what there is to know here."""
        return self.shelf.help()

    def question(self) -> Question | None:
        """Return what is asked now."""
        if self.form is not None and self.form.stored is not None:
            self.form = None
        if self.form is not None:
            return self.form.question()
        return self._why(self.retiring) if self.retiring else self._what()

    def card(self) -> CardContent:
        """Return what is known of them."""
        proves, form = self.shelf.proves, self.form
        if form is not None and form.stored is None:
            return CardContent(proves=proves, step=self.shelf.word, figures=form.figures(), notices=form.notices())
        return CardContent(proves=proves, step=f"{len(self.shelf.names())} in use", figures=self.shelf.rows())

    def _what(self) -> Question:
        word, names = self.shelf.word, self.shelf.names()
        ways = ("retire", "edit") if self.shelf.again else ("retire",)

        def deed(text: str) -> Deed:
            way, rest = command(text, ways)
            if not way:
                one_word("new", "add")(text)
                return Deed(told=f"describe {_a(word)}", do=lambda: self._describe(""))
            key = one_of(rest, names, f"{word} in use")
            if way == "edit":
                return Deed(told=f"describe again: {names[key]}", do=lambda: self._describe(key))
            return Deed(told=f"take out of use: {names[key]}", do=lambda: self._retire(key))

        return asked_once(
            deed,
            key=f"{word}s",
            ask=f"Enter describes {'another' if names else 'the first'} {word}.",
            hint=f"or: {' · '.join(f'{way} NAME' for way in sorted(ways))}" if names else self.shelf.first,
            proposal="new",
        )

    def _describe(self, key: str) -> None:
        self.form = self.shelf.form(key)

    def _retire(self, key: str) -> None:
        self.retiring = key

    def _why(self, key: str) -> Question:
        name = self.shelf.names()[key]

        def do(reason: str) -> str:
            self.shelf.retire(key, reason)
            self.retiring = ""
            return f"out of use: {name}"

        return asked_text(
            some_text("a reason"),
            do,
            key=f"retire {self.shelf.word}",
            ask=f"Why is {clip(name)} taken out of use? Esc leaves it in.",
            hint=f"such as: {self.shelf.such}",
            proposal=self.shelf.proposal,
        )


def _a(word: str) -> str:
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"
