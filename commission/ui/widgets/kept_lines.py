"""Lines that were typed or pasted ahead and wait: the line before them was refused, or is not entered yet."""

from collections.abc import Sequence

from commission.base.text import clean, counted

SHOWN = 5
"""Waiting lines of which something is shown."""
ROOM = 60
"""Characters of them that are shown; our choice: they fit into a row of 80 columns with the words before them."""


class KeptLines:
    """What waits, in order; the last one may still be growing."""

    def __init__(self) -> None:
        self._lines: list[str] = []
        self._grows = False
        self._open_end = False
        self._up = ""

    @property
    def lines(self) -> list[str]:
        """The lines with something on them."""
        return [line for line in self._lines if line.strip()]

    def put(self, lines: Sequence[str], *, half: bool = False) -> None:
        """Put other lines in their place; `half`: the last one may be half typed."""
        self._lines, self._grows, self._open_end = list(lines), False, half

    def add(self, text: str) -> None:
        r"""Add what was typed; a line end ends a line.

        >>> kept = KeptLines()
        >>> for text in ("4", "97", "\r", "4", "9"):
        ...     kept.add(text)
        >>> kept.lines
        ['497', '49']
        """
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

    def end(self) -> None:
        """Let the line that grew grow no further."""
        self._grows = False

    def next(self) -> str:
        """Take the first line; an empty text where none waits."""
        lines, half = self.lines, self._open_end
        self._lines, self._grows = lines[1:], False
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

    def __str__(self) -> str:
        """How many wait and what they say, as far as there is room; nothing where none does."""
        lines = self.lines
        text = clean(" · ".join(lines[:SHOWN]))
        shown = f"{text[:ROOM]}…" if len(text) > ROOM or len(lines) > SHOWN else text
        return f"{counted(len(lines), 'more typed line')} waiting: {shown}" if lines else ""
