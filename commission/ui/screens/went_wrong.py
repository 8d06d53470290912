"""It went wrong: what to do first, in order, and beneath it what is asked and written down. It lies over any screen."""

from collections.abc import Callable

from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from commission.bench.mishap.cards import HURT, Card
from commission.bench.mishap.flow import MishapFlow
from commission.bench.mishap.told import Told
from commission.record.logbook import Logbook
from commission.ui.screens.asked import AskedBand
from commission.ui.screens.base import ALONG, BenchScreen
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.lines import Lines
from commission.ui.widgets.words import ascii_only, safe, wrap

PAGE = 9
"""Rows that a page up or down moves the card; our choice: most of a card in the least window."""
NUMBER = 3
"""Cells before an action in which its number stands."""


class WentWrongScreen(BenchScreen):
    """The card, and one line.

    Parameters
    ----------
    book
        The logbook.
    told
        What is known already: what was called, in which build, where.
    near
        Name of the build that is proposed, where it is asked.
    leave
        Goes back to the screen beneath, with what was written down; empty where nothing was.
    """

    DEFAULT_CSS = """
    WentWrongScreen {
        #wrong { height: 1fr; padding: 0 1; scrollbar-size-vertical: 1; }
        #wrong Lines { height: auto; }
        #wrong-hurt { color: $error; text-style: bold; }
        #wrong-first { margin-top: 1; }
        #wrong-then { color: $text-muted; margin-top: 1; }
    }
    """
    BINDINGS = ALONG
    help_key = "went_wrong"

    def __init__(self, book: Logbook, told: Told, *, near: str | None, leave: Callable[[str], None]) -> None:
        super().__init__(DoNowLine())
        self.flow: MishapFlow = MishapFlow(book, told, near=near)
        self._leave = leave
        self._hurt = Lines(id="wrong-hurt")
        self._first = Lines(id="wrong-first")
        self._then = Lines(id="wrong-then")

    def compose_body(self) -> ComposeResult:
        """Put the line under the card."""
        with VerticalScroll(id="wrong", can_focus=False):
            yield self._hurt
            yield self._first
            yield self._then
        yield AskedBand(self.typed)

    def reload(self) -> None:
        """Show the card and what is asked."""
        self.retitle()
        self._show_card()
        self.typed.ask(self.flow.now())

    def _show_card(self) -> None:
        card, width = self.flow.aid, max(20, self.app.size.width - 4)
        plain = ascii_only(self)
        self._hurt.put(Content("\n".join(wrap(safe(HURT, plain), width))))
        cases = [Content(safe(f"{word:10} {told}", plain)) for word, told in self.flow.cases.items()]
        self._first.put(Content("\n").join(_actions(card, width, plain=plain) if card is not None else cases))
        then = [line for text in (card.then if card is not None else ()) for line in wrap(safe(text, plain), width)]
        self._then.put(Content("\n".join(then)))

    def on_resize(self, event: events.Resize) -> None:
        """Wrap again."""
        super().on_resize(event)
        self._show_card()

    def entered(self, event: DoNowLine.Entered, *, stored: bool) -> None:
        """Go back once it is written down, else show what is asked next."""
        if self.flow.over:
            self._leave(self.flow.said)
        else:
            self.reload()

    def went_wrong(self, word: str, *, where: str = "", seen: str = "") -> None:
        """Show another card in place of this one."""
        self.flow.call(word, where=where)
        self.reload()

    def action_move(self, by: int) -> None:
        """Move the card while the line keeps the keys."""
        self.query_one("#wrong").scroll_relative(y=by, animate=False)

    def action_page(self, by: int) -> None:
        """Move it by more at once."""
        self.action_move(PAGE * by)

    def leave_screen(self) -> None:
        """Go back without an entry."""
        self._leave("")


def _actions(card: Card, width: int, *, plain: bool) -> list[Content]:
    """Return the title and the numbered actions in lines."""
    lines = [Content.styled(f" {safe(card.title, plain)} ", "bold reverse $error")]
    for number, action in enumerate(card.actions, 1):
        first, *rest = wrap(safe(action, plain), width - NUMBER)
        lines.append(Content.assemble((f"{number}  ", "bold $error"), (first, "bold")))
        lines += [Content.styled(f"{' ' * NUMBER}{line}", "bold") for line in rest]
    return lines
