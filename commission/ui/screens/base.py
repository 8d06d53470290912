"""What all screens share: a title line, a banner where nothing can be recorded, the keys, and a least size."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, cast

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.geometry import Size
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from commission.base.errors import CommissionError, Damaged, NotConfirmed
from commission.bench.taken_as import DETAILS, STAGE, is_units, units_by
from commission.bench.unsent import Unsent
from commission.bench.words_here import MORE, NO_OTHER, words_here
from commission.ui.screens.not_confirmed import NotConfirmedScreen
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.keys import Keys
from commission.ui.widgets.line_messages import Line
from commission.ui.widgets.lines import Lines
from commission.ui.widgets.typed_line import TypedLine
from commission.ui.widgets.words import said

if TYPE_CHECKING:
    from commission.bench.ask import Flow
    from commission.bench.clock_times import ClockTimes
    from commission.procedure.model import Help
    from commission.record.logbook import Logbook
    from commission.ui.screens.bench_app import BenchApp

LEAST_WIDTH = 60
LEAST_HEIGHT = 18
READY_S = 0.5
"""How long keys wait for a line that cannot have them, as in a window that is too small [s]; our choice."""

ALONG: list[BindingType] = [
    Binding("up", "move(-1)", "Up", show=False),
    Binding("down", "move(1)", "Down", show=False),
    Binding("pageup", "page(-1)", "Page up", show=False),
    Binding("pagedown", "page(1)", "Page down", show=False),
]
"""Keys that move along what stands above the line, while the line keeps the others."""

TOLD_S = 20.0
"""How long it is told that this window records from now on [s]; our choice: seen between two looks."""


class BenchScreen(Screen[None]):
    """A screen of the bench; keys and colours come from the app."""

    DEFAULT_CSS = """
    BenchScreen {
        #title { height: 1; padding: 0 1; background: $surface; text-style: bold; }
        #banner { height: auto; padding: 0 1; color: $warning; text-style: bold; }
        #body { height: 1fr; }
        #too-small { height: 1fr; padding: 1 1; }
        StageLadder { padding: 0 1; }
        #running { height: auto; padding: 0 1; color: $primary; text-style: bold; }
        #about { height: auto; padding: 0 1; }
        #list { height: 1fr; padding: 0 1; }
        #welcome { height: auto; margin: 1 1; color: $text-muted; }
        #words { height: 1fr; margin: 1 1; color: $text-muted; }
        #whole { height: auto; max-height: 3; }
        #chain { height: 1; color: $text-muted; }
    }
    """

    class Ready(Message):
        """The screen is up, and its line has the keys."""

    AUTO_FOCUS = "TypedLine"
    help_key = ""
    """Name of this screen; of a stage, its id."""
    flow: "Flow"
    """What is asked here."""

    def __init__(self, typed: DoNowLine) -> None:
        super().__init__()
        self.typed = typed
        """The line in which everything is typed."""
        self.ready = False
        """Whether keys may come; those that come before wait."""
        self._was_left = False
        self._title = Lines(id="title")
        self._banner = Static(id="banner")
        self._body = Container(id="body")
        self._too_small = Static(id="too-small")

    @property
    def near(self) -> str | None:
        """Name of the build under the cursor, where none is open."""
        return None

    @property
    def bench(self) -> "BenchApp":
        """The app, with the logbook in it."""
        return cast("BenchApp", self.app)

    def compose(self) -> ComposeResult:
        """Lay out title, banner, body and keys."""
        self._fit(self.app.size)
        yield self._title
        yield self._banner
        with self._body:
            yield from self.compose_body()
        yield self._too_small
        yield Keys(self.key_words)

    def compose_body(self) -> ComposeResult:
        """Lay out what is this screen's own."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """Show what is known, and let the line have the keys."""
        self.typed.focus()
        self.tell_read_only()
        self._too_small.update(
            said(
                self,
                f"This window is too small: it needs {LEAST_WIDTH} columns and {LEAST_HEIGHT} rows. What runs goes on.",
            )
        )
        self.reload()
        self.set_timer(READY_S, self.get_ready)

    def on_resize(self, event: events.Resize) -> None:
        """Say where the window is too small."""
        self._fit(event.size)

    def _fit(self, size: Size) -> None:
        """Show the screen or that it has no room; known before the first layout, or there would be a second one."""
        enough = size.width >= LEAST_WIDTH and size.height >= LEAST_HEIGHT
        self._body.display = enough
        self._too_small.display = not enough
        if enough:
            self.typed.seen_again()

    def set_focus(self, widget: Widget | None, scroll_visible: bool = True, from_app_focus: bool = False) -> None:
        """Let the line have the keys, whatever was clicked or asked for: there is nothing else that takes them."""
        line = self.typed.input
        super().set_focus(line if line.is_attached and line.focusable else None, scroll_visible, from_app_focus)

    @property
    def in_sight(self) -> bool:
        """Whether the line can be seen: not where the window is too small."""
        return bool(self._body.display)

    @on(events.DescendantFocus)
    def _line_has_the_keys(self, event: events.DescendantFocus) -> None:
        if isinstance(event.widget, TypedLine):
            self.get_ready()

    def get_ready(self) -> None:
        """Let the keys come."""
        if not self.ready:
            self.ready = True
            self.post_message(self.Ready())

    @on(DoNowLine.WentWrong)
    def _went_wrong(self, event: DoNowLine.WentWrong) -> None:
        event.stop()
        word, _, name = event.word.partition(" ")
        if word == STAGE:
            self._to_stage(event.line, name)
            return
        if is_units(event.word):
            event.line.kept(self.bench.looks.show_in(units_by(event.word)))
            self.reload()
            return
        if word == DETAILS:
            self.action_details()
        elif word == MORE:
            event.line.kept(self.tell_words())
            return
        else:
            self.went_wrong(event.word, where=event.where, seen=event.seen)
        event.line.go_on()

    def _to_stage(self, line: Line, name: str) -> None:
        from commission.bench.needs import stage_called  # here: the first picture needs no stage

        bench = self.bench
        if self.help_key == "went_wrong":
            line.refuse("say first what happened; Esc leaves this card without an entry")
            return
        try:
            there = stage_called(bench.book, bench.build_id, name)
        except CommissionError as error:
            line.refuse(str(error))
            return
        line.go_on()
        if there != self.help_key:
            bench.go(there, bench.build_id, rest=line.rest)

    @on(DoNowLine.Entered)
    def _put_to_flow(self, event: DoNowLine.Entered) -> None:
        """Do what was entered; what is refused comes back with its reason."""
        event.stop()
        before = self.bench.book.stored
        try:
            done = self.flow.answer(event.text)
        except CommissionError as error:
            event.line.refuse(str(error))
            if isinstance(error, NotConfirmed | Damaged):
                self.bench.push_screen(NotConfirmedScreen(str(error)))
            return
        event.line.accepted(done)
        self.entered(event, stored=self.bench.book.stored != before)

    def entered(self, event: DoNowLine.Entered, *, stored: bool) -> None:
        """Show what came of what was entered; ``stored``: it became an entry."""
        self.reload()

    def tell_words(self) -> str:
        """Tell the words that may be typed here, and return in a line what was told."""
        prompt = self.typed.prompt
        words = words_here(prompt) if prompt else ()
        return f"words here: {', '.join(words)}" if words else NO_OTHER

    def action_details(self) -> None:
        """Show all that is known, or less of it again; most screens show all they know."""

    def went_wrong(self, word: str, *, where: str = "", seen: str = "") -> None:
        """Show the card of what went wrong over this screen."""
        self.bench.went_wrong(word, where=where, seen=seen, near=self.near)

    def tell_read_only(self) -> None:
        """Say why nothing can be recorded, where nothing can."""
        because = self.read_only_because()
        self._banner.display = bool(because)
        self._banner.update(said(self, f"Read only: {because}"))

    def taken_over(self) -> None:
        """Read the record again, and say for a while that this window records from now on."""
        self.reload()
        self._banner.display = True
        self._banner.update(said(self, "The other window is closed: this one records now."))
        self.set_timer(TOLD_S, self.tell_read_only)

    def read_only_because(self) -> str:
        """Return why nothing can be recorded, or an empty text."""
        return self.bench.book.read_only_because

    def on_screen_suspend(self) -> None:
        """Know that another screen lies over this one."""
        self._was_left = True

    def on_screen_resume(self) -> None:
        """Look again: another screen may have recorded something."""
        if self._was_left:
            self._was_left = False
            self.tell_read_only()
            self.reload()

    def title_text(self) -> str:
        """Return what stands in the title line."""
        return self.flow.title()

    def own_help(self) -> "Help | None":
        """Return what F1 says here; None where the procedure says it of the stage."""
        return self.flow.help()

    def retitle(self) -> None:
        """Write the title line again."""
        self._title.put(said(self, self.title_text()))

    def reload(self) -> None:
        """Read the record again and show it."""
        raise NotImplementedError

    def times(self) -> "ClockTimes | None":
        """Return the times of the clock that runs here; None where none does."""
        return self.flow.times()

    def tick(self) -> None:
        """Move what moves with time; called about once a second."""

    def key_words(self) -> Mapping[str, str]:
        """Return what the keys do where it depends on what stands in the line; an empty word is not shown."""
        line = self.typed
        back = "Whole line" if line.asks_only else "Clear" if line.draft else line.clears or "Back"
        return {"step_back": back, "clear_line": line.clears}

    def step_back(self) -> None:
        """Go back one step: empty the line, else leave what is half answered, else leave the screen."""
        if not self.typed.step_back() and not self.leave_form():
            self.leave_screen()

    def unsent(self) -> Unsent:
        """Return what was typed here and is no entry yet."""
        return Unsent(lines=tuple(self.typed.rest), refused=self.typed.refused_texts)

    def take_up(self, book: "Logbook", unsent: Unsent) -> None:
        """Put back what was typed here before and is no entry yet."""
        self.typed.take_up(unsent.lines, old=unsent.old)

    def leave_form(self) -> bool:
        """Leave what is half answered; return whether anything was."""
        had = self.flow.step_back()
        if had:
            self.reload()
        return had

    def leave_screen(self) -> None:
        """Go back to the stage that was left for this screen, else to the builds."""
        self.bench.go_out()
