"""The report of a build: where the build stands, and the line that hands it out."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual import events
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
from commission.ui.widgets.stage_ladder import INK_OF_STATE
from commission.ui.widgets.words import ascii_only, safe, wrap

if TYPE_CHECKING:
    from commission.bench.face import Face
    from commission.record.ladder import StageState

SIDE = 1
"""Cells left free at either side."""


def stage_rows(rungs: "Sequence[StageState]", width: int, *, plain: bool) -> list[Content]:
    """Return a stage a line, each word for a state beneath the others, and beneath each other why."""
    names = [safe(rung.stage.title, plain) for rung in rungs]
    first = max(map(len, names), default=0) + 2
    second = max((len(rung.word) for rung in rungs), default=0) + 2
    found = []
    for name, rung in zip(names, rungs, strict=True):
        why, *rest = wrap(safe(rung.why, plain), max(1, width - first - second))
        word = (f"{rung.word:<{second}}", INK_OF_STATE[rung.word])
        found.append(Content.assemble(f"{name:<{first}}", word, (why, "$text-muted")))
        found += [Content.styled(f"{' ' * (first + second)}{line}", "$text-muted") for line in rest]
    return found


class ReportScreen(BenchScreen):
    """What the report will begin with, and where it goes."""

    help_key = "report"

    def __init__(self, book: Logbook, faces: "tuple[Face, ...]", build_id: str) -> None:
        super().__init__(DoNowLine())
        self.flow: ReportFlow = ReportFlow(book, faces, build_id)

    def compose_body(self) -> ComposeResult:
        """Put the line under what is known."""
        with Vertical(id="list"):
            yield Static(id="stands")
        yield AskedBand(self.typed)

    def reload(self) -> None:
        """Read the record again and show it."""
        self.flow.refresh()
        self.retitle()
        self._stand()
        self.typed.ask(self.flow.now())

    def on_resize(self, event: events.Resize) -> None:
        """Wrap again."""
        super().on_resize(event)
        self._stand()

    def _stand(self) -> None:
        """Show where the build stands: the sentence first, then a stage a line, and what was handed out."""
        (ready, stands), plain = self.flow.stands, ascii_only(self)
        width = max(1, self.app.size.width - 2 * SIDE)
        lines = [Content.styled(line, f"bold {'$success' if ready else '$warning'}") for line in self._wrapped(stands)]
        lines += [Content(""), *stage_rows(self.flow.rungs, width, plain=plain), Content("")]
        told = (f"report {self.flow.number}", self.flow.handed_out())
        lines += [Content.styled(line, "$text-muted") for text in told for line in self._wrapped(text)]
        self.query_one("#stands", Static).update(Content("\n").join(lines))

    def _wrapped(self, text: str) -> list[str]:
        return wrap(safe(text, ascii_only(self)), max(1, self.app.size.width - 2 * SIDE))

    def unsent(self) -> Unsent:
        """Return why the report before is replaced, too, where that was typed."""
        answers = (Answer(key=self.help_key, ask="", text=self.flow.why),) if self.flow.why else ()
        return replace(super().unsent(), answers=answers)

    def take_up(self, book: Logbook, unsent: Unsent) -> None:
        """Put back what was typed here before."""
        for one in unsent.answers:
            self.flow.why = one.text
        self.typed.take_up(unsent.lines, old=unsent.old)
