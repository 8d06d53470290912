"""The one line in which everything is typed, with what was understood beneath it."""

from collections.abc import Sequence
from typing import Self, TypeAlias

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Input, Static

from commission.base.text import counted
from commission.bench.prompt import STAYING, Prompt, Said, plain_text, shown_when_empty
from commission.bench.taken_as import does, taken_as, typed_before
from commission.ui.widgets import line_messages
from commission.ui.widgets.kept_lines import KeptLines
from commission.ui.widgets.line_rows import LINE_STYLE, LineRows
from commission.ui.widgets.lines import Lines
from commission.ui.widgets.seen import Seen
from commission.ui.widgets.typed_line import TypedLine
from commission.ui.widgets.words import ascii_only, safe

__all__ = ["DoNowLine", "Prompt", "plain_text"]


class DoNowLine(Vertical):
    """Instruction, input line and the line beneath it; refuses on its own what is not understood.

    After `Entered` the parent answers with `accepted`, `refuse` or `ask`; until then the line is `waiting`, and the app
    (`KeysInOrder`) holds back what is typed. Lines behind a refused or pasted one are kept and come up one by one.
    """

    DEFAULT_CSS = LINE_STYLE

    Entered: TypeAlias = line_messages.Entered
    Answered: TypeAlias = line_messages.Answered
    WentWrong: TypeAlias = line_messages.WentWrong
    Resized: TypeAlias = line_messages.Resized

    def __init__(self) -> None:
        super().__init__()
        self._prompt: Prompt | None = None
        self._sent: str | None = None
        self.wet_is_a_leak = False
        """Whether ``wet`` means a leak here."""
        self.waiting = False
        """Whether something was entered and not answered yet."""
        self.refused_at: float | None = None
        """When what was entered was refused [s]; None once something was typed after that."""
        self._seen = Seen(self.call_after_refresh)
        self._kept = KeptLines()
        self._aside: list[str] = []
        self._of = ""
        self._shown_as = (False, "")
        self._said = (Said.NOTHING, "")
        self._said_of = ""
        self._typed = TypedLine(self._clear_line)
        self._enter = Static(Content("[Enter]"), classes="do-now--enter")
        self._ask = Lines(classes="do-now--ask")
        self._hint = Lines(classes="do-now--hint")
        self._note = Lines(classes="do-now--said")
        self._rows = LineRows(self._ask, self._hint, self._note)

    def compose(self) -> ComposeResult:
        """Stack the parts."""
        yield self._ask
        yield self._hint
        with Horizontal(classes="do-now--row"):
            yield Static(Content("> "), classes="do-now--mark")
            yield self._typed
            yield self._enter
        yield self._note

    @property
    def prompt(self) -> Prompt | None:
        """What is asked for; None where nothing is."""
        return self._prompt

    @property
    def input(self) -> TypedLine:
        """What takes the keys."""
        return self._typed

    @property
    def refused(self) -> bool:
        """Whether a line that was refused stands there, to be corrected or cleared."""
        return self._said[0] is Said.REFUSED and bool(self.draft)

    @property
    def clears(self) -> str:
        """What Ctrl+U does, as the keys at the foot say it; empty where they need not say it."""
        if self.draft:
            return "Clear" if self.refused else ""
        return "Drop what waits" if self._kept.lines else ""

    @property
    def came_up(self) -> bool:
        """Whether a whole line stands there that waited, and nobody has changed it since: it is not to be added to."""
        return self._kept.is_up(self.draft)

    @property
    def draft(self) -> str:
        """The unsent text."""
        return self._typed.value

    @draft.setter
    def draft(self, text: str) -> None:
        self._typed.put(text)

    @property
    def rest(self) -> list[str]:
        """The unsent text, and the lines that wait behind it."""
        return [text for text in (*self._aside, self.draft, *self._kept.lines) if text.strip()]

    @rest.setter
    def rest(self, lines: Sequence[str]) -> None:
        self._aside.clear()
        self._kept.put(lines, half=True)
        self._typed.put("")
        self._next()
        self._kept.half_typed()
        self._draw()

    def take_up(self, lines: Sequence[str], *, answers: int = 0) -> None:
        """Put back what was typed before and not entered, and say that it is not new."""
        self.rest = lines
        if answers:
            self._say(Said.KEPT, f"{counted(answers, 'answer')} taken up again, not stored yet; Esc leaves them")
        elif lines:
            self._say(Said.KEPT, typed_before(self._prompt, self.draft, wet=self.wet_is_a_leak))

    def focus(self, scroll_visible: bool = True) -> Self:
        """Let the next key go into the line."""
        self._typed.focus(scroll_visible)
        return self

    def ask(self, prompt: Prompt | None, *, chosen: bool = False) -> None:
        """Ask for something; what was typed stays. `chosen`: a key changed what Enter takes, so nobody must see it."""
        before, self._prompt = self._prompt, prompt
        self._seen.ask(prompt, chosen=chosen)
        if (before.key if before else None) != (prompt.key if prompt else None):
            if prompt and self._typed.value == (before.initial if before else ""):
                self._typed.put(prompt.initial)
            if self._said[0] not in (Said.STORED, Said.KEPT):
                self._say(Said.NOTHING, "")
        if before != prompt or prompt is None or self._said[0] is Said.NOTHING:
            self._look()
        self._answered()

    def accepted(self, note: str = "") -> None:
        """Answer `Entered`: it was stored, and `note` says so; the next line that was kept comes up."""
        self._next()
        # what is asked now may have changed: `ask` follows
        self._say(*((Said.STORED, f"{self._of}{note}") if note else (Said.NOTHING, "")))
        self._sent = None
        self._answered()

    def refuse(self, why: str) -> None:
        """Answer `Entered`: it was not stored; the text comes back with the reason beneath it."""
        if self._sent:
            self._typed.put(self._sent)
        self._sent = None
        self._refused(why)

    def _refused(self, why: str) -> None:
        self._kept.end()
        self._typed.action_end()
        if self._prompt is not None and self._prompt.afresh:
            self._typed.action_select_all()  # it is marked, and the next key takes its place
        self._say(Said.REFUSED, f"{self._of}{why}")
        self.refused_at = self._answered()

    def keep(self, text: str) -> None:
        """Keep what was typed or pasted behind a refused line; a line end ends a line."""
        self._kept.add(text)
        self._draw()

    def keep_less(self) -> None:
        """Take back the last character that was kept."""
        self._kept.less()
        self._draw()

    def type_in(self, text: str) -> None:
        """Put text where the cursor is; a line that came up by itself waits on, or old and new would be one."""
        self._of = ""
        if self.came_up and self._typed.cursor_at_end:
            self._kept.back(self.draft)
            self._typed.put("")
            self._draw()
        self._typed.type_in(text)

    def paste(self, text: str, *, of: str = "") -> None:
        """Put a pasted line where the cursor is; `of` says which of several it is."""
        self._of = of
        self._typed.type_in(text.strip("\r\n"))

    def paste_behind(self, lines: Sequence[str]) -> bool:
        """Keep pasted lines behind those that wait, the one that came up among them; return whether any does."""
        if not self._kept.lines and not self.came_up:
            return False
        self._kept.put([*self._kept.lines, *lines])
        self._draw()
        return True

    def set_aside(self) -> None:
        """End a line that cannot be seen: it waits to be looked at, since nobody answers blindly."""
        if self.draft.strip():
            self._aside.append(self.draft)
            self._typed.put("")

    def seen_again(self) -> None:
        """Show what was set aside, the first line first."""
        if self._aside:
            self.rest = self.rest

    def clear(self) -> bool:
        """Empty the line and say what stood there; a line that waits comes up. Return whether there was anything."""
        text = self.draft
        if not text and not self._kept.lines:
            return False
        self._typed.put("")
        self._next()
        self._say(Said.CLEARED, text)
        return True

    def _clear_line(self) -> None:
        dropped = self._kept.lines
        if self.draft or not dropped:
            self._typed.put("")
            return
        self._kept.put(())
        self._say(Said.CLEARED, " · ".join(dropped))

    def _next(self) -> None:
        """Put the next line that was kept where it can be seen and entered."""
        if not self._typed.value:
            self._typed.put(self._kept.next())

    def rows_wanted(self, width: int, *, note: int = 1) -> int:
        """Return the rows that nothing would be cut in, with at least so many for the line beneath the input."""
        return self._rows.wanted(self._texts(), width, note)

    def least_rows(self, width: int) -> int:
        """Return the rows without the hint, which gives way first."""
        return self._rows.least(self._texts(), width)

    @property
    def fits(self) -> bool:
        """Whether the texts take as many rows as were asked for when rows were given last."""
        return self._rows.fit(self._texts())

    def give_rows(self, rows: int, width: int) -> None:
        """Fit into so many rows: the hint goes first, the input line never."""
        self._rows.given = (rows, width)
        self._rows.fill(self._texts(), rows, width)

    def on_mount(self) -> None:
        """Draw what was asked for before there was a screen."""
        self.call_after_refresh(self._draw)

    def on_resize(self) -> None:
        """Wrap again."""
        if self._rows.given is None:
            self._draw()

    def _texts(self) -> tuple[str, str, str]:
        plain = ascii_only(self)
        note = " · ".join(filter(None, (": ".join(self._said) if self._said[0] else "", str(self._kept))))
        prompt = self._prompt
        ask, hint = (prompt.ask, prompt.hint) if prompt else ("", "")
        return safe(ask, plain), safe(hint, plain), safe(note, plain)

    def _draw(self) -> None:
        """Draw all texts, and tell the parent where they now need more or fewer rows."""
        if not self.is_attached:
            return
        prompt = self._prompt
        self._tell_keys()
        if prompt is not None:
            self._typed.placeholder = safe(shown_when_empty(prompt), ascii_only(self))
            self._enter.set_class(prompt.proposal is None and not self.draft, "-idle")
        self._note.update_classes({_class_of(kind): kind is self._said[0] for kind in Said})
        given = self._rows.given
        if given is not None and self.fits:
            self.give_rows(*given)
        elif given is not None:
            self.post_message(self.Resized(self))
        elif self.size.width:
            self._rows.fill(self._texts(), self.rows_wanted(self.size.width), self.size.width)

    def _tell_keys(self) -> None:
        """Let the keys at the foot be named again where they do something else now."""
        now = (bool(self.draft), self.clears)
        if now != self._shown_as:
            self._shown_as = now
            self.screen.refresh_bindings()

    def _say(self, kind: Said, text: str) -> None:
        self._said, self._said_of = (kind, text), self._typed.value
        self._draw()

    def _look(self) -> None:
        """Show what the text would be understood as."""
        prompt, text = self._prompt, self._typed.value
        if prompt is None or (self._said[0] in STAYING and text == self._said_of):
            self._draw()
            return
        entered = text if text.strip() else prompt.proposal
        if entered is None:
            self._say(Said.NOTHING, "")
            return
        taken = taken_as(prompt, text, wet_is_a_leak=self.wet_is_a_leak)
        if taken.called is not None:
            self._say(Said.UNDERSTOOD, does(taken.called))
        elif taken.why_not:
            self._say(Said.NOT_YET, f"{self._of}{taken.why_not}")
        else:
            kind = Said.UNDERSTOOD if text.strip() else Said.PROPOSED
            self._say(kind, f"{self._of if text.strip() else ''}{taken.understood}")

    def go_on(self, note: str = "") -> None:
        """Answer `WentWrong`: its card is up, or was left with a note."""
        self._sent = None
        if note:
            self._say(Said.STORED, note)
        else:
            self._look()  # what the word would do stands there no longer: it is done
        self._answered()

    def kept(self, note: str) -> None:
        """Answer `WentWrong`: what its word chose is kept, and no entry."""
        self._say(Said.KEPT, note)
        self._answered()

    def _answered(self) -> float:
        """Let the next key come; return when that was, by the clock of the keys [s]."""
        self.waiting = False
        told = self.Answered(self)
        told.set_sender(self)  # or it would rise no higher than to the screen that answered
        self.post_message(told)
        return told.time

    def enter(self, came_s: float) -> None:
        """Enter what stands in the line now, by a key or click of that time [s].

        A proposal is taken only where it could be read: not by an Enter that came before it was painted.
        """
        prompt, text = self._prompt, self._typed.value.strip()
        if prompt is None or self.waiting:
            return
        if not text and self._kept.lines:  # Enter on an empty line must not answer over lines that still wait
            self._next()
            self._say(Said.KEPT, typed_before(self._prompt, self.draft, wet=self.wet_is_a_leak))
            return
        entered = text or prompt.proposal
        if entered is None:
            self._refused("nothing was typed")
            return
        if not text and not self._seen.by(came_s):
            self._refused("this question was not on the screen when Enter came: read it, then press Enter")
            return
        taken = taken_as(prompt, text, wet_is_a_leak=self.wet_is_a_leak)
        if taken.called is not None:
            self.waiting, self._sent = True, text
            self._typed.put(taken.called.before)
            self.post_message(self.WentWrong(self, taken.called.word))
            return
        if taken.why_not:
            self._refused(taken.why_not)
            return
        self.waiting, self._sent = True, text
        self._typed.put("")
        self.post_message(self.Entered(self, prompt, entered, taken.understood))

    @on(events.Click, ".do-now--enter")
    def _clicked(self, event: events.Click) -> None:
        self.enter(event.time)
        self.focus()

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        if self._prompt is None:
            return
        if event.value or not self.waiting:
            self._look()

    @on(TypedLine.Cut)
    def _cut(self, event: TypedLine.Cut) -> None:
        event.stop()
        self.leave_out(event.why)

    def leave_out(self, why: str) -> None:
        """Say that something was not taken."""
        self._say(Said.CUT, why)


def _class_of(kind: Said) -> str:
    """Return the class of the note that says something of this kind."""
    return f"-{kind.name.lower().replace('_', '-')}"
