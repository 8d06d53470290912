"""The report of a build: where the build stands, and the line that hands it out."""

from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from commission.base.frozen import replace
from commission.bench.unsent import Answer, Unsent
from commission.record.logbook import Logbook
from commission.report.flow import ReportFlow
from commission.ui.screens.asked import AskedBand
from commission.ui.screens.base import BenchScreen
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.words import said

if TYPE_CHECKING:
    from commission.bench.face import Face
    from commission.procedure.model import Help


class ReportScreen(BenchScreen):
    """What the report will begin with, and where it goes."""

    help_key = "report"

    def __init__(self, book: Logbook, faces: "tuple[Face, ...]", build_id: str) -> None:
        super().__init__(DoNowLine())
        self.flow = ReportFlow(book, faces, build_id)

    def compose_body(self) -> ComposeResult:
        """Put the line under what is known."""
        with Vertical(id="list"):
            yield Static(id="stands")
        yield AskedBand(self.typed)

    def own_help(self) -> "Help":
        """Return what F1 says here."""
        return self.flow.help()

    def title_text(self) -> str:
        """Return the build's name and where we are."""
        return f"{self.flow.state.name} · report"

    def reload(self) -> None:
        """Read the record again and show it."""
        self.flow.refresh()
        self.retitle()
        self.query_one("#stands", Static).update(Content("\n").join(said(self, line) for line in self.flow.lines()))
        self.typed.ask(self.flow.asked.now())

    @on(DoNowLine.Entered)
    def entered(self, event: DoNowLine.Entered) -> None:
        """Do what was entered."""
        if self.put_to(self.flow, event):
            self.reload()

    def unsent(self) -> Unsent:
        """Return why the report before is replaced, too, where that was typed."""
        answers = (Answer(key=self.help_key, ask="", text=self.flow.why),) if self.flow.why else ()
        return replace(super().unsent(), answers=answers)

    def take_up(self, book: Logbook, unsent: Unsent) -> None:
        """Put back what was typed here before."""
        for one in unsent.answers:
            self.flow.why = one.text
        self.typed.take_up(unsent.lines, old=unsent.old)

    def leave_form(self) -> bool:
        """Go back to the question why; return whether it was answered."""
        had = self.flow.back()
        if had:
            self.typed.ask(self.flow.asked.now())
        return had
