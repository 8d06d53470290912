"""The line in which everything is typed, under a list: it always has the rows that it needs."""

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical

from commission.ui.widgets.do_now import DoNowLine


class AskedBand(Vertical):
    """A band at the foot of a screen with the line in it."""

    DEFAULT_CSS = """
    AskedBand { height: auto; padding: 0 1; background: $panel; border-left: heavy $primary; }
    .-ascii AskedBand { border-left: ascii $primary; }
    """

    def __init__(self, line: DoNowLine) -> None:
        super().__init__()
        self.line = line

    def compose(self) -> ComposeResult:
        """Hold the line."""
        yield self.line

    @on(DoNowLine.Resized)
    def _line_resized(self, event: DoNowLine.Resized) -> None:
        event.stop()
        if not self.line.fits:
            self._fit()

    def on_resize(self) -> None:
        """Wrap again."""
        self._fit()

    def _fit(self) -> None:
        width = self.content_size.width
        if width > 1:
            self.line.give_rows(self.line.rows_wanted(width), width)
