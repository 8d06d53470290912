"""The help of a screen: what it is for, what is good, what to do when it is not, and the keys."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from commission.procedure.model import Help
from commission.ui.widgets.words import said

OWN: dict[str, Help] = {
    "home": Help(
        purpose="One line a build: the state of the stage whose turn it is, and what the build needs next. What runs "
        "now stands above. Choose a build with up and down and Enter, or type the name of a new one.",
        good="Every build says passed, or what it waits for.",
        bad="A hold that runs goes on while this program is closed: open its build and type a reading. To work on a "
        "laptop and a tower at once, open the second window after the first: it shows, and does not record.",
    ),
    "build_sheet": Help(
        purpose="The parts of the loop: what they hold, what they bear, what touches the coolant. The volume turns a "
        "fall of the gauge into a leak rate; the lowest rating bounds the test pressure.",
        good="Volumes from a data sheet, or from water weighed on a scale. Usual figures are offered and marked as "
        "assumed: they are common practice, and wide.",
        bad="Bare aluminium beside copper, brass or nickel corrodes: take one of them out. If a rating is not known, "
        "ask the maker before you pump. A wrong part is taken out with a reason: remove NAME.",
    ),
    "record": Help(
        purpose="Everything that was entered, in order, and never changed. The number at the end and its chain show "
        "whether anything was cut off later: write them down elsewhere.",
        good="Each entry says who, when and what as it was typed.",
        bad="A wrong entry is withdrawn with a reason: choose it, or type its number. It stays and no longer counts; "
        "a verdict that rested on it becomes stale. A start or an end cannot be withdrawn: add a note.",
    ),
    "instruments": Help(
        purpose="What the workshop reads with: step of the display, largest error, range. Readings are typed in the "
        "unit on the instrument's face.",
        good="A gauge whose full scale is at most five times the test pressure, with steps of 1 mbar or finer; a "
        "thermometer that reads tenths, at the loop; a barometer at the bench.",
        bad="A coarse gauge is no fault, it only needs a longer hold. An instrument that fell is retired, with a "
        "reason.",
    ),
    "bottles": Help(
        purpose="Every container of coolant or water, with what its label says. Pours name their bottle, so the log "
        "knows what is in the loop and what is left to pour.",
        good="A share of glycol always with its basis, by mass or by volume; for a ready mix the density of its data "
        "sheet; the lot, so that a later top-up can be of the same.",
        bad="A bottle without a label is unknown: no fraction can be stated of what it is poured into. An empty one "
        "is retired, with a reason. A wrong label is withdrawn in the record, with a reason, and typed anew.",
    ),
}
"""Help of the screens that are no stage."""

KEYS = (
    "F1 help · F2 build sheet · F3 the stage whose turn it is · F7 stage before · F8 stage after",
    "F4 record · F5 instruments · F9 bottles · F6 dark or light",
    "Esc leaves a form, then goes back to the builds · ctrl+p all commands · ctrl+q leaves; a hold goes on",
    "In the line: Enter takes the proposal when it is empty. Comma or point, one unit: 0,5 bar. # starts a note.",
)


class HelpScreen(ModalScreen[None]):
    """Lies over the screen it helps with."""

    DEFAULT_CSS = """
    #modal Static { height: auto; }
    #modal-head { text-style: bold; color: $primary; margin-bottom: 1; }
    .help--title { text-style: bold; margin-top: 1; }
    """
    BINDINGS = [  # noqa: RUF012 - Textual's word
        Binding("f1,escape,enter", "dismiss", "Close the help"),
        Binding("up", "scroll(-1)", "Up", show=False),
        Binding("down", "scroll(1)", "Down", show=False),
    ]

    def __init__(self, title: str, help_: Help, more: Sequence[str] = ()) -> None:
        super().__init__()
        self.head = title
        self.parts = (
            ("What it is for", help_.purpose),
            ("What is good", help_.good),
            ("What to do when it is not", help_.bad),
            *((("Sources", " · ".join(more)),) if more else ()),
        )

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        with VerticalScroll(id="modal", classes="dialog"):
            yield Static(id="modal-head")
            for _ in self.parts:
                yield Static(classes="help--title")
                yield Static(classes="help--text")
            yield Static(classes="help--title")
            for _ in KEYS:
                yield Static(classes="help--text")

    def on_mount(self) -> None:
        """Say it."""
        self.query_one("#modal-head", Static).update(said(self, f"{self.head}   (Esc closes)"))
        titles, texts = list(self.query(".help--title")), list(self.query(".help--text"))
        wanted = [*(title for title, _ in self.parts), "Keys"]
        for widget, text in zip(titles, wanted, strict=True):
            widget.update(said(self, text)) if isinstance(widget, Static) else None
        for widget, text in zip(texts, [*(text for _, text in self.parts), *KEYS], strict=True):
            widget.update(said(self, " ".join(text.split()))) if isinstance(widget, Static) else None

    def action_scroll(self, by: int) -> None:
        """Move the text."""
        self.query_one("#modal").scroll_relative(y=by, animate=False)
