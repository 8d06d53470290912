"""What was typed and is no entry yet, on the screens that were left, and over the end of the program."""

from collections.abc import Mapping
from typing import Protocol

from commission.bench.unsent import Unsent, Where, read_unsent, unsent_text


class Beside(Protocol):
    """Keeps a text beside the logbook."""

    def load(self) -> str:
        """Return the text; an empty one where there is none."""

    def save(self, text: str) -> None:
        """Keep a text in its place; an empty one is not kept."""


class KeptUnsent:
    """Remembers it by screen and build, and writes it down where there is something to keep it.

    Parameters
    ----------
    beside
        Keeps it until the next start; None: nobody does.
    """

    def __init__(self, beside: Beside | None) -> None:
        self._beside = beside
        self._left: dict[Where, Unsent] = {}
        self._saved = ""

    def leave(self, where: Where, unsent: Unsent) -> None:
        """Remember what a screen holds that is being left."""
        self._left[where] = unsent

    def take(self, where: Where) -> Unsent:
        """Return what a screen held when it was left, and remember it no more: the screen has it now."""
        return self._left.pop(where, Unsent())

    def load(self) -> None:
        """Read what was kept by the window that wrote last; what was left here since stands before it."""
        if self._beside is not None:
            self._saved = self._beside.load()
            self._left = {**read_unsent(self._saved), **self._left}

    def save(self, here: Mapping[Where, Unsent]) -> None:
        """Write down what was left and what the screens hold now, where it is another than before."""
        if self._beside is None:
            return
        text = unsent_text({**self._left, **here})
        if text != self._saved:
            self._beside.save(text)
            self._saved = text
