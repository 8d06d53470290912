"""A line that was understood and against which something speaks: it is asked about before it is stored."""

from collections.abc import Callable

from commission.base.errors import InputError
from commission.bench.ask import Question, asked_once
from commission.bench.deed import Deed

AskAbout = Callable[[Deed, str], Deed]
"""What becomes of a line and of what speaks against it; nothing does where that is empty."""


class Doubt:
    """Asks once whether a line is right."""

    def __init__(self) -> None:
        self._deed: Deed | None = None
        self._why = ""

    def about(self, deed: Deed, why: str) -> Deed:
        """Return what a line does: itself, or the question where something speaks against it."""
        return Deed(told=f"{deed.told}: is that right?", do=lambda: self._ask(deed, why)) if why else deed

    def question(self) -> Question | None:
        """Return the question; None where nothing is doubted."""
        if self._deed is None:
            return None
        ask, hint = f"{self._why}. Is it right?", "yes: store it as it is · no or Esc: type it again"
        return asked_once(self._answer, key="doubt", ask=ask, hint=hint, placeholder="yes  or  no")

    def back(self) -> bool:
        """Take the question back; return whether there was one."""
        had, self._deed = self._deed is not None, None
        return had

    def _ask(self, deed: Deed, why: str) -> None:
        self._deed, self._why = deed, why

    def _answer(self, text: str) -> Deed:
        deed, word = self._deed, text.strip().casefold()
        assert deed is not None  # it is asked about
        if word in ("n", "no"):
            return Deed(told="not stored: type it again", do=lambda: self._over(Deed(told="")))
        if word not in ("y", "yes"):
            raise InputError("type yes where it is right, or no")
        return Deed(told=deed.told, do=lambda: self._over(deed))

    def _over(self, deed: Deed) -> str:
        done = deed.done()
        self._deed = None
        return done


def refuse_unsaid(said: bool, option: str) -> AskAbout:
    """Return what a command does with a doubt: it refuses, unless an option said that it is right."""

    def about(deed: Deed, why: str) -> Deed:
        if why and not said:
            raise InputError(f"{why}. If it is right, say so with {option}")
        return deed

    return about
