"""The record of a build, entry by entry."""

from contextlib import suppress

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from commission.base.errors import CommissionError
from commission.base.frozen import replace
from commission.bench.record import RecordFlow
from commission.bench.unsent import Answer, Unsent
from commission.record.logbook import Logbook
from commission.ui.screens.asked import AskedBand
from commission.ui.screens.base import ALONG, BenchScreen
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.entry_table import EntryTable
from commission.ui.widgets.words import said


class RecordScreen(BenchScreen):
    """Every entry; a wrong one is withdrawn with a reason and stays."""

    BINDINGS = ALONG
    help_key = "record"

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__(DoNowLine())
        self.build_id = build_id
        self.flow: RecordFlow = RecordFlow(book, build_id)
        self.table = EntryTable()

    def compose_body(self) -> ComposeResult:
        """Put the line under the entries."""
        with Vertical(id="list"):
            yield self.table
            yield Static(id="whole")
            yield Static(id="chain")
        yield AskedBand(self.typed)

    def on_mount(self) -> None:
        """Show the end of the record, once it was read."""
        self.call_after_refresh(self.table.action_last)
        self.watch(self.table, "cursor", self._tell_row, init=False)

    def reload(self) -> None:
        """Read the record again and show it."""
        self.flow.refresh()
        self.retitle()
        at_end = self.table.cursor >= self.flow.count() - 2
        self.table.show(self.flow)
        if at_end:
            self.table.action_last()
        self.typed.ask(self.flow.now())
        self._tell_row()

    def _tell_row(self) -> None:
        """Say the whole of the entry under the cursor, and where the chain ends."""
        row = self.table.row
        whole = f"{row.seq}, {row.who or 'nobody named'}: {row.what}" if row else ""
        self.query_one("#whole", Static).update(said(self, whole))
        self.query_one("#chain", Static).update(said(self, self.flow.head()))

    @on(EntryTable.Chosen)
    def chosen(self, event: EntryTable.Chosen) -> None:
        """Begin to withdraw the entry that was chosen."""
        event.stop()
        self.flow.choose(event.row.seq)
        self.typed.ask(self.flow.now())
        self.typed.focus()

    def action_move(self, by: int) -> None:
        """Move along the entries while the line keeps the keys."""
        self.table.action_move(by)

    def action_page(self, by: int) -> None:
        """Move by a screenful."""
        self.table.action_page(by)

    def unsent(self) -> Unsent:
        """Return which entry is being withdrawn, too: what stands in the line is the reason."""
        at = self.flow.withdrawing
        answers = () if at is None else (Answer(key=self.help_key, ask="", text=str(at.seq)),)
        return replace(super().unsent(), answers=answers)

    def take_up(self, book: Logbook, unsent: Unsent) -> None:
        """Go on with a withdrawal that was begun, and put back what stood in the line."""
        for one in unsent.answers:
            with suppress(CommissionError):
                self.flow.choose(int(one.text) if one.text.isdecimal() else 0)
        self.typed.take_up(unsent.lines, old=unsent.old)
