"""The bench: the ladder of stages beside the card, or above it where the window is narrow."""

from textual import events
from textual.containers import Container
from textual.widget import Widget

WIDE = 100
"""Cells across from which the ladder stands beside the card."""


class Bench(Container):
    """Ladder and card; where there is no ladder the card has all of it."""

    DEFAULT_CSS = """
    Bench {
        height: 1fr;
        layout: vertical;
    }
    """

    def __init__(self, ladder: Widget, card: Widget) -> None:
        card.styles.width = card.styles.height = "1fr"
        super().__init__(ladder, card)
        self._ladder = ladder

    def on_mount(self) -> None:
        """Know before the first layout where the ladder goes: the bench is as wide as the window."""
        self._lay_out(self.app.size.width)

    def on_resize(self, event: events.Resize) -> None:
        """Put the ladder beside the card or above it."""
        self._lay_out(event.size.width)

    def _lay_out(self, width: int) -> None:
        wide = width >= WIDE
        self.styles.layout = "horizontal" if wide else "vertical"
        self._ladder.styles.height = "1fr" if wide else 1
        self._ladder.styles.width = 24 if wide else "100%"
