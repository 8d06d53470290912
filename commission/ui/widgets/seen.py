"""Whether a question could be read when a key came: Enter alone must take nothing that nobody has seen."""

from collections.abc import Callable

from textual.message import Message

from commission.bench.prompt import Prompt


class Seen:
    """Knows since when what Enter takes has been on the screen.

    Parameters
    ----------
    after_painting
        Calls a function once the screen was painted.
    """

    def __init__(self, after_painting: Callable[[Callable[[], None]], object]) -> None:
        self._after_painting = after_painting
        self._takes: tuple[str, str | None] | None = None
        self._since_s: float | None = None

    def ask(self, prompt: Prompt | None, *, chosen: bool) -> None:
        """Note what is asked now; `chosen`: the person moved to it, and need not see it before Enter."""
        takes = (prompt.key, prompt.proposal) if prompt else None
        if takes != self._takes and not chosen:
            self._since_s = None
            self._after_painting(lambda: self._painted(takes))
        self._takes = takes

    def _painted(self, takes: tuple[str, str | None] | None) -> None:
        if takes == self._takes and self._since_s is None:
            self._since_s = Message().time

    def by(self, came_s: float) -> bool:
        """Return whether it stood there when a key or click came [s, by the clock of the keys]."""
        return self._since_s is not None and self._since_s <= came_s
