"""The first picture: the names of the builds at a glance, while the logbook itself is still being opened."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from commission.ui.screens.asked import AskedBand
from commission.ui.screens.base import BenchScreen
from commission.ui.widgets.build_list import BuildList, BuildRow
from commission.ui.widgets.do_now import DoNowLine


class FrontScreen(BenchScreen):
    """Stands where the builds will stand; what is typed meanwhile waits for them.

    Parameters
    ----------
    names
        Id and name of the builds, the one opened last first.
    """

    def __init__(self, names: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self.list = BuildList()
        self.line = DoNowLine()
        self._names = names

    def compose_body(self) -> ComposeResult:
        """Lay out the same places as the list of builds has."""
        yield Static(id="running")
        with Vertical(id="list"):
            yield self.list
        yield AskedBand(self.line)

    def on_mount(self) -> None:
        """Let the line have the keys from the first moment."""
        self.query_one("#running", Static).display = False
        self.line.focus()

    def get_ready(self) -> None:
        """Never: what is typed now waits for the builds."""

    def read_only_because(self) -> str:
        """Return nothing: that is not known yet."""
        return ""

    @property
    def typed(self) -> DoNowLine:
        """The line in which everything is typed."""
        return self.line

    def title_text(self) -> str:
        """Return the program's name."""
        return "commission"

    def reload(self) -> None:
        """Show the names."""
        self.retitle()
        rows = [BuildRow(key=build_id, name=name, state="", needs="") for build_id, name in self._names]
        self.list.show_rows(rows, empty="Opening the logbook ...")
        self.line.ask(None, idle="Opening the logbook ...")
