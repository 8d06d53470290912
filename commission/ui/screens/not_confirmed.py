"""Says that the disk reported an error and that a value may not be there."""

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from commission.ui.screens.over import Over
from commission.ui.widgets.words import said


class NotConfirmedScreen(Over):
    """Stays until it is answered."""

    DEFAULT_CSS = """
    NotConfirmedScreen {
        #modal Static { height: auto; }
        #modal-head { text-style: bold reverse; color: $error; margin-bottom: 1; width: auto; padding: 0 1; }
    }
    """
    GIVES_WAY = False
    BINDINGS = [("enter,escape", "dismiss", "I have read it")]  # noqa: RUF012 - Textual's word

    def __init__(self, why: str) -> None:
        super().__init__()
        self.why = why

    def compose(self) -> ComposeResult:
        """Lay out what happened and what to do."""
        with Vertical(id="modal", classes="dialog"):
            yield Static(id="modal-head")
            yield Static(id="modal-text")

    def on_mount(self) -> None:
        """Say it."""
        self.query_one("#modal-head", Static).update(said(self, "NOT CONFIRMED"))
        text = (
            f"{self.why}  See in the log (F4) whether the last entry is there before you type "
            "it again. Your text still stands in the line.  Enter goes back."
        )
        self.query_one("#modal-text", Static).update(said(self, text))

    def on_click(self) -> None:
        """Take a click for an answer."""
        self.dismiss()
