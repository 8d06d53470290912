"""Text in lines that is shown again and again, and seldom changes."""

from textual.content import Content
from textual.widgets import Static


class Lines(Static):
    """Lines that were wrapped to the width of the widget already; they cost nothing while they stay the same."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's word
        super().__init__(id=id, classes=classes)
        self._lines = Content("")

    def put(self, lines: Content) -> None:
        """Show these lines; the screen is laid out again only where there are more or fewer of them."""
        before, self._lines = self._lines, lines
        if not lines.is_same(before):
            self.update(lines, layout=_rows(lines) != _rows(before))


def _rows(lines: Content) -> int:
    return lines.plain.count("\n") + 1 if lines.plain else 0
