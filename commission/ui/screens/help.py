"""The help of a screen: what it is for, what is good, what to do when it is not, and the keys."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Static

from commission.procedure.model import Help
from commission.ui.screens.base import BenchScreen
from commission.ui.screens.over import Over
from commission.ui.widgets.words import said

if TYPE_CHECKING:
    from commission.record.logbook import Logbook

KEYS = (
    "Esc leaves a form, then the log or the parts, then the stage · ctrl+p all commands · ctrl+q quits; a hold goes on",
    "On any line: leak, spill, smoke, burst or help! opens what to do first; repaired, once a defect is.",
    "In every stage: undo withdraws its last entry and asks why; ? lists what may be typed now.",
    "In every stage: at 14:05 before a line says that it was done then; began 14:05, that work began then.",
    "On any line: units psi fl oz degF shows every amount in these; units alone says in which.",
    "In the line: Enter takes the proposal when it is empty. Comma or point, one unit: 0,5 bar. # starts a note.",
)


class HelpScreen(Over):
    """Lies over the screen it helps with, until a key closes it or something is typed."""

    DEFAULT_CSS = """
    #modal Static { height: auto; padding-right: 1; }
    #modal-head { text-style: bold; color: $primary; margin-bottom: 1; }
    .help--title { text-style: bold; margin-top: 1; }
    """
    BINDINGS = [  # noqa: RUF012 - Textual's word
        Binding("f1,escape,enter", "dismiss", "Close the help"),
        Binding("up", "scroll(-1)", "Up", show=False),
        Binding("down", "scroll(1)", "Down", show=False),
    ]

    def __init__(self, title: str, help_: Help, more: Sequence[str] = (), *, keys: Sequence[str] = ()) -> None:
        super().__init__()
        self.keys = (*keys, *KEYS)
        self.head = title
        self.parts = (
            ("What it is for", help_.purpose),
            ("What is good", help_.good),
            ("What to do when it is not", help_.bad),
            *((("Sources", " · ".join(more)),) if more else ()),
        )

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        with VerticalScroll(id="modal", classes="dialog", can_focus=False):
            yield Static(id="modal-head")
            for _ in self.parts:
                yield Static(classes="help--title")
                yield Static(classes="help--text")
            yield Static(classes="help--title")
            for _ in self.keys:
                yield Static(classes="help--text")

    def on_mount(self) -> None:
        """Say it."""
        self.query_one("#modal-head", Static).update(said(self, f"{self.head}   (Esc closes)"))
        titles, texts = list(self.query(".help--title")), list(self.query(".help--text"))
        wanted = [*(title for title, _ in self.parts), "Keys"]
        for widget, text in zip(titles, wanted, strict=True):
            widget.update(said(self, text)) if isinstance(widget, Static) else None
        for widget, text in zip(texts, [*(text for _, text in self.parts), *self.keys], strict=True):
            widget.update(said(self, " ".join(text.split()))) if isinstance(widget, Static) else None

    def action_scroll(self, by: int) -> None:
        """Move the text."""
        self.query_one("#modal").scroll_relative(y=by, animate=False)


def help_of(screen: BenchScreen, book: "Logbook", build_id: str, keys: Sequence[str]) -> HelpScreen:
    """Return the help of a screen: its own, or what the procedure of the build says of the stage."""
    own = screen.own_help()
    if own is not None:
        return HelpScreen(screen.title_text(), own, keys=keys)
    stage = book.procedure(book.build(build_id)).stage(screen.help_key)
    sources = dict.fromkeys([one.source for one in stage.cautions] + [one.source for one in stage.steps])
    return HelpScreen(stage.title, stage.help, tuple(sources), keys=keys)
