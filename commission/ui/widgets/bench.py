"""The bench: the ladder of stages beside the card, or above it where the window is narrow."""

from textual import events
from textual.containers import Container
from textual.geometry import Size
from textual.widget import Widget

WIDE = 100
"""Cells across from which the ladder stands beside the card."""
LADDER = 20
"""Cells of the ladder there; our choice: the longest name and mark, so that a card of 100 columns has as much as one of
80."""
TWO_LINES = 20
"""Rows of a window from which each stage has a line for its state."""
LADDER_OF_LINES = 24
"""Cells of the ladder where name and state share a line."""


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
        self._lay_out(self.app.size)

    def on_resize(self, event: events.Resize) -> None:
        """Put the ladder beside the card or above it."""
        self._lay_out(event.size)

    def _lay_out(self, size: Size) -> None:
        wide = size.width >= WIDE
        ladder = LADDER if size.height >= TWO_LINES else LADDER_OF_LINES
        self.styles.layout = "horizontal" if wide else "vertical"
        self._ladder.styles.height = "1fr" if wide else 1
        self._ladder.styles.width = ladder if wide else "100%"
