"""Lines that were typed or pasted ahead and wait: the line before them was refused, or is not entered yet."""

from collections.abc import Sequence

from commission.base.text import clean, counted
from commission.bench.prompt import Prompt
from commission.bench.taken_as import taken_as

SHOWN = 5
"""Waiting lines of which something is shown."""
ROOM = 60
"""Characters of them that are shown; our choice: they fit into a row of 80 columns with the words before them."""


class KeptLines:
    """What waits, in order; the last one may still be growing.

    They come up one by one behind the line that was refused, once that was corrected and taken. Where it was emptied,
    none comes up by itself: whoever goes on by hand is not asked to take them as well.
    """

    def __init__(self) -> None:
        self._lines: list[str] = []
        self._grows = False
        self._open_end = False
        self._up = ""
        self._at = ""
        self._apart = False

    @property
    def lines(self) -> list[str]:
        """The lines with something on them."""
        return [line for line in self._lines if line.strip()]

    def put(self, lines: Sequence[str], *, half: bool = False) -> None:
        """Put other lines in their place; `half`: the last one may be half typed."""
        if not self.lines:
            self._apart = False
        self._lines, self._grows, self._open_end = list(lines), False, half

    def add(self, text: str) -> None:
        r"""Add what was typed; a line end ends a line.

        >>> kept = KeptLines()
        >>> for text in ("4", "97", "\r", "4", "9"):
        ...     kept.add(text)
        >>> kept.lines
        ['497', '49']
        """
        if not self.lines:
            self._apart = False
        for part in text.splitlines(keepends=True):
            words = part.rstrip("\r\n")
            if self._grows:
                self._lines[-1] += words
            else:
                self._lines.append(words)
            self._grows = self._open_end = words == part

    def less(self) -> None:
        """Take back the last character of the line that grows."""
        if self._grows:
            self._lines[-1] = self._lines[-1][:-1]

    def refused_at(self, key: str) -> None:
        """Let the line that grew grow no further: the one before was refused at a question; of an Enter no name."""
        self._grows = False
        if not self.lines or not self._apart:
            self._at = key

    def emptied(self) -> None:
        """Know that the line before them was emptied."""
        self._apart = bool(self.lines)

    def for_here(self, prompt: Prompt | None) -> bool:
        """Return whether Enter on the empty line brings one up: at the question where the one before was refused."""
        return bool(self.lines) and prompt is not None and prompt.key == self._at

    def next(self) -> str:
        """Take the first line; an empty text where none waits, or none may come up by itself."""
        return "" if self._apart else self.take()

    def take(self) -> str:
        """Take the first line, as was asked for; those behind it follow again."""
        lines, half = self.lines, self._open_end
        self._lines, self._grows, self._apart = lines[1:], False, False
        self._up = lines[0] if lines and not (half and len(lines) == 1) else ""
        return lines[0] if lines else ""

    def is_up(self, text: str) -> bool:
        """Return whether a text is the line that came up last, one that was ended by Enter or a paste."""
        return bool(text) and text == self._up

    def half_typed(self) -> None:
        """Know that the line that came up last may be half typed: what follows is added to it."""
        self._up = ""

    def back(self, line: str) -> None:
        """Put a line that was taken back before the others."""
        self._lines.insert(0, line)

    def not_for(self, prompt: Prompt, text: str, *, wet_is_a_leak: bool) -> bool:
        """Put the line that came up back where another question cannot take it; return whether it was put back."""
        if not self.is_up(text) or not taken_as(prompt, text, wet_is_a_leak=wet_is_a_leak).why_not:
            return False
        self.back(text)
        return True

    def told(self, prompt: Prompt | None, *, empty: bool) -> str:
        """Return how many wait, what they say as far as there is room, and from the empty line what to do with them."""
        lines = self.lines
        text = clean(" · ".join(lines[:SHOWN]))
        shown = f"{text[:ROOM]}…" if len(text) > ROOM or len(lines) > SHOWN else text
        if not lines:
            return ""
        waiting = f"{counted(len(lines), 'more typed line')} waiting: {shown}"
        if not empty:
            return waiting
        up = "Enter brings one up, " if self.for_here(prompt) else ""
        return f"{waiting} · {up}Ctrl+U drops {'it' if len(lines) == 1 else 'them'}"
