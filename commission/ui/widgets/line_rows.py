"""How the texts around the one line look, and how they share the rows that there are."""

from textual.content import Content

from commission.ui.widgets.lines import Lines
from commission.ui.widgets.rows import share_line
from commission.ui.widgets.words import ascii_only, cut, wrap

Texts = tuple[str, str, str]
"""Instruction, hint, and what is said beneath the line."""

LINE_STYLE = """
DoNowLine {
    height: auto;
    .do-now--ask { text-style: bold; height: auto; }
    .do-now--hint { color: $text-muted; height: auto; }
    .do-now--row { height: 1; }
    .do-now--mark { width: 2; color: $primary; text-style: bold; }
    .do-now--enter { width: auto; padding: 0 1; color: $primary; pointer: pointer; }
    .do-now--enter:hover { text-style: reverse; }
    .do-now--enter.-idle { color: $text-muted; }
    .do-now--said { height: auto; min-height: 1; }
    .do-now--said.-understood { color: $success; }
    .do-now--said.-proposed { color: $text-muted; }
    .do-now--said.-not-yet { color: $warning; }
    .do-now--said.-refused { color: $error; text-style: bold; }
    .do-now--said.-stored { color: $primary; }
    .do-now--said.-cut { color: $warning; }
    TypedLine, TypedLine:focus { width: 1fr; background: $background; background-tint: $background 0%; }
}
"""
"""The line and the texts around it."""


class LineRows:
    """Fits instruction, hint and note into rows; the line itself always has one.

    Parameters
    ----------
    ask, hint, note
        What shows them.
    """

    def __init__(self, ask: Lines, hint: Lines, note: Lines) -> None:
        self._parts = (ask, hint, note)
        self._wanted = (0, 0, 0)
        self.given: tuple[int, int] | None = None
        """Rows and width that were given; None where nobody gave any."""

    def wanted(self, texts: Texts, width: int, note: int) -> int:
        """Return the rows that nothing would be cut in, with at least so many for the note."""
        rows = _rows(texts, width, note)
        self._wanted = (rows, width, note)
        return rows

    @staticmethod
    def least(texts: Texts, width: int) -> int:
        """Return the rows without the hint, which gives way first."""
        return len(wrap(texts[0], width)) + 2

    def fit(self, texts: Texts) -> bool:
        """Return whether texts take as many rows as were asked for when rows were given last."""
        rows, width, note = self._wanted
        return self.given is not None and _rows(texts, width, note) == rows

    def fill(self, texts: Texts, rows: int, width: int) -> None:
        """Show the texts in so many rows: the hint goes first."""
        for part, text, given in zip(self._parts, texts, share_line(rows, width, *texts), strict=True):
            part.display = given > 0
            part.put(Content(cut(wrap(text, width), width, given, plain=ascii_only(part))))


def _rows(texts: Texts, width: int, note: int) -> int:
    ask, hint, said = texts
    rows = len(wrap(ask, width)) + (len(wrap(hint, width)) if hint else 0)
    return rows + max(note, len(wrap(said, width))) + 1
