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

    @property
    def lines(self) -> list[str]:
        """The lines with something on them."""
        return [line for line in self._lines if line.strip()]

    def put(self, lines: Sequence[str]) -> None:
        """Put other lines in their place."""
        self._lines, self._grows = list(lines), False

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
            self._grows = words == part

    def less(self) -> None:
        """Take back the last character of the line that grows."""
        if self._grows:
            self._lines[-1] = self._lines[-1][:-1]

    def end(self) -> None:
        """Let the line that grew grow no further."""
        self._grows = False

    def next(self) -> str:
        """Take the first line; an empty text where none waits."""
        lines = self.lines
        self.put(lines[1:])
        return lines[0] if lines else ""

    def __str__(self) -> str:
        """How many wait and what they say, as far as there is room; nothing where none does."""
        lines = self.lines
        text = clean(" · ".join(lines[:SHOWN]))
        shown = f"{text[:ROOM]}…" if len(text) > ROOM or len(lines) > SHOWN else text
        return f"{counted(len(lines), 'more typed line')} waiting: {shown}" if lines else ""
