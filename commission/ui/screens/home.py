"""The workshop: which build needs what next, and what is running now.

It is the first picture, too: the names of the builds at a glance and a line that takes what is typed, while the logbook
is still being opened. So nothing of the record is imported at the top.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from commission.base.errors import InputError
from commission.bench.prompt import Prompt
from commission.bench.words_here import NO_OTHER, told_here, with_more
from commission.ui.screens.asked import AskedBand
from commission.ui.screens.base import ALONG, LEAST_WIDTH, BenchScreen
from commission.ui.widgets.build_list import BuildList, BuildRow
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.words import ascii_only, safe, said, wrap

if TYPE_CHECKING:
    from commission.bench.face import Face
    from commission.bench.home import HomeFlow
    from commission.record.logbook import Logbook

AT_ONCE = 4
"""Builds that are folded before the next key is looked at."""
MOST_RUNNING = 6
"""Lines of what runs now; more would push the builds off a small screen."""
RUNNING = "running now: "
CAREFUL = "Compressed air, mains and coolant can injure. Test the loop empty and unplugged."
WELCOME = (
    "For bringing up a liquid-cooled computer: leak test, fill, bleed, first power-on, fan headers, soak, handover.",
    "You type what you see. It does the sums, says PASS, FAIL or cannot tell, and why. It switches nothing.",
    CAREFUL,
    "A finished workshop to look at: Ctrl+Q, then commission demo.",
)
"""What a logbook without a build says of itself."""
LOOK_S = 0.05
"""Time between two looks at what is in view and not yet known [s]."""


def _not_yet(_text: str) -> str:
    raise InputError("the logbook is still being opened; what is typed waits for it")


OPENING = Prompt(key="opening", ask="Opening the logbook ...", understand=_not_yet)
"""What stands above the line until there is a logbook; Enter is held back by the app (`KeysInOrder`)."""


class HomeScreen(BenchScreen):
    """The builds, what runs now, and one line to choose or name a build.

    Parameters
    ----------
    names
        Id and name of the builds, for the time before the logbook is handed over.
    """

    BINDINGS = ALONG
    help_key = "home"

    def __init__(self, names: Sequence[tuple[str, str]]) -> None:
        super().__init__(DoNowLine())
        self._names = names
        self.opened = False
        """Whether the logbook was handed over; the app holds back what needs it."""
        self.flow: HomeFlow
        self.list = BuildList()
        self._runs = Static(id="running")
        self._welcome = Static(id="welcome")
        self._box = Vertical(id="list")
        self._told = Static()
        self._words = VerticalScroll(self._told, id="words")
        self._painted = False
        self._by_key = False

    def compose_body(self) -> ComposeResult:
        """Put what runs above the builds and the line below them."""
        if self.app.sub_title:  # what this logbook is, where it is not the user's own
            yield Static(said(self, self.app.sub_title), id="about")
        yield self._runs
        with self._box:
            yield self._welcome
            yield self._words
            yield self.list
        yield AskedBand(self.typed)

    def on_mount(self) -> None:
        """Show the names at once, with a line that has the keys."""
        self._runs.display = self._welcome.display = self._words.display = False
        self.watch(self.list, "cursor", self._highlight, init=False)

    def hand_over(self, book: "Logbook", faces: "tuple[Face, ...]") -> None:
        """Take the logbook; what each build needs is found after the next paint."""
        from commission.bench.home import HomeFlow

        self.flow, self.opened = HomeFlow(book, faces), True
        self.tell_read_only()
        self._show()
        self.set_interval(LOOK_S, self._look)
        self.call_after_refresh(self.painted)

    def read_only_because(self) -> str:
        """Return why nothing can be recorded, as far as that is known."""
        return super().read_only_because() if self.opened else ""

    @property
    def near(self) -> str | None:
        """Name of the build under the cursor."""
        under = self.flow.highlighted
        return None if under is None else under.name

    def title_text(self) -> str:
        """Return who works."""
        who = f" · {self.flow.operator}" if self.opened and self.flow.operator else ""
        return f"commission{who}"

    def painted(self) -> None:
        """Look at the builds now: their names are on the screen."""
        self._painted, untouched = True, not self.list.cursor
        self._tell_running()
        if untouched:
            self.point_at(self.flow.first())

    def reload(self) -> None:
        """Read the list of builds again and show it."""
        if not self.opened:
            self._show_names()
            return
        self.flow.refresh()
        self._show()
        if self._painted:
            self._tell_running()

    def tick(self) -> None:
        """Move the times of what is running."""
        if self._painted:
            self._tell_running()

    def _show_names(self) -> None:
        self.retitle()
        rows = [BuildRow(key=build_id, name=name, state="", needs="") for build_id, name in self._names]
        self.list.show_rows(rows, empty="Opening the logbook ...")
        self.typed.ask(OPENING)

    def _show(self) -> None:
        self.retitle()
        rows = [self._row(row.build_id, row.name) for row in self.flow.builds]
        named = self.flow.operator or self.flow.book.read_only_because  # else a person's name is asked for first
        self.list.show_rows(rows, empty="No build yet: type its name below." if named else "No build yet.")
        if not rows and not self._welcome.display:
            self._welcome.update(Content("\n").join(self._welcome_lines()))
        self._welcome.display = not rows
        self._highlight()

    def _welcome_lines(self) -> "list[Content]":
        """Return what a logbook without a build says of itself, what can injure so that it is seen first."""
        told = [said(self, line) for line in WELCOME]
        return [line.stylize("bold $foreground") if line.plain == CAREFUL else line for line in told]

    def _row(self, build_id: str, name: str) -> BuildRow:
        need = self.flow.known(build_id)
        if need is None:
            return BuildRow(key=build_id, name=name, state="", needs="")
        return BuildRow(key=build_id, name=name, state=need.word, needs=need.next, last=need.last)

    def _look(self) -> None:
        """Fold some of the builds that are in view and not known yet."""
        if not self._painted or not self.is_current or not self.flow.builds:
            return
        top = int(self.list.scroll_offset.y)
        seen = self.flow.builds[top : top + max(1, self.list.size.height)]
        unknown = [row for row in seen if self.flow.known(row.build_id) is None][:AT_ONCE]
        for row in unknown:
            self.flow.look_at(row.build_id)
        if unknown:
            rows = [self._row(row.build_id, row.name) for row in self.flow.builds]
            self.list.show_rows(rows)

    def _tell_running(self) -> None:
        before = self.flow.builds
        lines = self.flow.running()
        if self.flow.builds is not before:
            self._show()
        shown = self._runs  # not looked up: a clock may tick while the screen is being taken down
        shown.display = bool(lines)
        if len(lines) > MOST_RUNNING:
            lines = [*lines[: MOST_RUNNING - 1], f"and {len(lines) - MOST_RUNNING + 1} more: open each build to see"]
        width = max(LEAST_WIDTH - 2, self._box.size.width) - len(RUNNING)
        plain = bool(lines) and ascii_only(self)
        rows = [row for line in lines for row in wrap(safe(line, plain), width)]  # no number is parted from its unit
        heads = [RUNNING, *[" " * len(RUNNING)] * len(rows)]
        shown.update(Content("\n").join(Content(f"{head}{row}") for head, row in zip(heads, rows, strict=False)))

    def tell_words(self) -> str:
        """List what may be typed here in place of the builds, until the next answer, a key along them, or Esc."""
        prompt = self.typed.prompt
        told = told_here(prompt) if prompt else ()
        if not told:
            return NO_OTHER
        self._told.update(Content("\n").join(said(self, line) for line in told))
        self._words.display, self.list.display, self._welcome.display = True, False, False
        return "the words stand above, until Esc or the next answer"

    def _hide_words(self) -> bool:
        """Show the builds again; return whether the words stood there."""
        had = self._words.display
        if had:
            self._words.display, self.list.display, self._welcome.display = False, True, not self.flow.builds
        return had

    def _highlight(self) -> None:
        self._hide_words()
        if not self.opened:
            return
        at = self.list.cursor
        self.flow.highlighted = self.flow.builds[at] if 0 <= at < len(self.flow.builds) else None
        self.typed.ask(with_more(self.flow.now()), chosen=self._by_key)

    def entered(self, event: DoNowLine.Entered, *, stored: bool) -> None:
        """Show the builds, and open the one that was chosen."""
        self._show()
        if self.flow.chosen:
            rest, event.line.rest = event.line.rest, []
            self.bench.open_build(self.flow.chosen, rest=rest)

    @on(BuildList.Chosen)
    def chosen(self, event: BuildList.Chosen) -> None:
        """Open the build that was chosen."""
        event.stop()
        if self.opened and not self.flow.shows_away:
            self.bench.open_build(event.row.key)

    def action_move(self, by: int) -> None:
        """Move along the builds while the line keeps the keys."""
        self._by_key = True
        self.list.action_move(by)
        self._by_key = False

    def action_page(self, by: int) -> None:
        """Move by a screenful of the builds, or of the words where they stand."""
        if self._words.display:
            self._words.scroll_relative(y=by * max(1, self._words.size.height - 1), animate=False)
            return
        self._by_key = True
        self.list.action_page(by)
        self._by_key = False

    def point_at(self, build_id: str) -> None:
        """Propose a build: put the cursor on it."""
        at = [number for number, row in enumerate(self.flow.builds) if row.build_id == build_id]
        if at:
            self.list.cursor = at[0]

    def leave_form(self) -> bool:
        """Leave the question whether to start a build, or the list of those put away."""
        had = self._hide_words() or self.flow.back()
        if had:
            self._show()
        return had

    def leave_screen(self) -> None:
        """Stay: there is nothing to go back to."""
