"""The question whether only the end of a line is meant, while it stands there."""

from collections.abc import Callable

from commission.bench.only_this import Meant, Old
from commission.bench.prompt import Prompt
from commission.ui.widgets.seen import Seen
from commission.ui.widgets.typed_line import TypedLine


class OnlyAsked:
    """Holds the whole line while its end alone stands there to be taken.

    Parameters
    ----------
    line
        Where it stands.
    after_painting
        Calls a function once the screen was painted.
    """

    def __init__(self, line: TypedLine, after_painting: Callable[[Callable[[], None]], object]) -> None:
        self._line = line
        self._seen = Seen(after_painting)
        self._only = ""
        self.whole = ""
        """The whole line; empty where nothing is asked."""
        self.old: tuple[Old, ...] = ()
        """What of the whole line was refused, or typed before."""

    def ask(self, meant: Meant) -> None:
        """Put the end alone into the line."""
        self.whole, self.old, self._only = self._line.value, self._line.old, meant.text
        self._line.put(meant.text)
        self._seen.ask(Prompt(key=self.whole, ask="", proposal=meant.text), chosen=False)

    def back(self) -> bool:
        """Put the whole line back, an ordinary one from now on; return whether it was asked."""
        whole = self.whole
        if whole:
            self.forget()
            self._line.put(whole)
        return bool(whole)

    def forget(self) -> None:
        """Know that it is answered, or that the line was emptied."""
        self.whole, self.old, self._only = "", (), ""
        self._seen.ask(None, chosen=False)

    def missed(self, text: str, came_s: float) -> bool:
        """Return whether an Enter of that time [s] would take what could not be read yet."""
        return bool(self.whole) and text == self._only and not self._seen.by(came_s)
