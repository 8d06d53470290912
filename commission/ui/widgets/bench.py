"""The bench: the ladder of stages beside the card, or above it where the window is narrow."""

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
        & > StageLadder { height: 1; width: 100%; }
        & > .bench--card { width: 1fr; height: 1fr; }
        &.-wide { layout: horizontal; }
        &.-wide > StageLadder { height: 1fr; width: 24; }
    }
    """

    def __init__(self, ladder: Widget, card: Widget) -> None:
        card.add_class("bench--card")
        super().__init__(ladder, card)

    def on_resize(self) -> None:
        """Put the ladder beside the card or above it."""
        self.set_class(self.size.width >= WIDE, "-wide")
