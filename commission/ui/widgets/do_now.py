"""The one line in which everything is typed, with what was understood beneath it."""

from collections.abc import Sequence
from typing import Self, TypeAlias

from textual import events, on
from textual.widgets import Input

from commission.base.text import counted
from commission.bench.only_this import Meant, Old, asked_of, meant, said_of
from commission.bench.prompt import STAYING, Prompt, Said, plain_text, shown_when_empty
from commission.bench.taken_as import typed_before
from commission.ui.widgets import line_messages
from commission.ui.widgets.kept_lines import KeptLines
from commission.ui.widgets.line_rows import LineBand, Texts
from commission.ui.widgets.only_asked import OnlyAsked
from commission.ui.widgets.seen import Seen
from commission.ui.widgets.typed_line import TypedLine
from commission.ui.widgets.words import ascii_only, safe

__all__ = ["DoNowLine", "Prompt", "plain_text"]


class DoNowLine(LineBand):
    """Instruction, input line and the line beneath it; refuses on its own what is not understood.

    After `Entered` the parent answers with `accepted`, `refuse` or `ask`; until then the line is `waiting`, and the app
    (`KeysInOrder`) holds back what is typed. Lines behind a refused or pasted one are kept and come up one by one.
    What is typed behind a refused text is asked about alone (`only_this`): the two are never stored as one unasked.
    """

    Entered: TypeAlias = line_messages.Entered
    Answered: TypeAlias = line_messages.Answered
    WentWrong: TypeAlias = line_messages.WentWrong
    Resized: TypeAlias = line_messages.Resized

    def __init__(self) -> None:
        self._typed = TypedLine(self.clear_line)
        super().__init__(self._typed)
        self._prompt: Prompt | None = None
        self._sent: tuple[str, tuple[Old, ...]] | None = None
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
        self._only = OnlyAsked(self._typed, self.call_after_refresh)

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
        """Whether a line that was refused stands there, or begins what does: to be corrected or cleared."""
        return any(one.refused for one in self._typed.old)

    @property
    def refused_texts(self) -> tuple[str, ...]:
        """Beginnings of the unsent text that were refused; the shortest first."""
        return tuple(one.text for one in self._only.old or self._typed.old if one.refused)

    @property
    def asks_only(self) -> bool:
        """Whether only the end of a line stands there: Esc puts the whole one back."""
        return bool(self._only.whole)

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
        return [text for text in (*self._aside, self._only.whole or self.draft, *self._kept.lines) if text.strip()]

    @rest.setter
    def rest(self, lines: Sequence[str]) -> None:
        self._aside.clear()
        self._only.forget()
        self._kept.put(lines, half=True)
        self._typed.put("")
        self._next()
        self._kept.half_typed()
        self._draw()

    def take_up(self, lines: Sequence[str], *, answers: int = 0, old: Sequence[Old] = ()) -> None:
        """Put back what was typed before and not entered, and say that it is not new; `old`: what of it was refused."""
        self.rest = lines
        if old:
            self._typed.put(self.draft, old=old)
        if self.draft not in (one.text for one in old):
            self._typed.mark(refused=False)
        if answers:
            self._say(Said.KEPT, f"{counted(answers, 'answer')} taken up again, not stored yet; Esc leaves them")
        elif lines:
            self._say_before()

    def _say_before(self) -> None:
        """Say of the line that it is not new."""
        refused = any(one.refused and one.text == self.draft for one in self._typed.old)
        text = typed_before(self._prompt, self.draft, wet=self.wet_is_a_leak, refused=refused)
        self._say(Said.KEPT, text)

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
            if prompt and self._kept.not_for(prompt, self.draft, wet_is_a_leak=self.wet_is_a_leak):
                self._typed.put("")
            if self._said[0] not in (Said.STORED, Said.KEPT):
                self._say(Said.NOTHING, "")
        if before != prompt or prompt is None or self._said[0] is Said.NOTHING:
            self._look()
        self._answered()

    def accepted(self, note: str = "") -> None:
        """Answer `Entered`: it was stored, and `note` says so; the next line that was kept comes up."""
        self._only.forget()
        self._next()
        # what is asked now may have changed: `ask` follows
        self._say(*((Said.STORED, f"{self._of}{note}") if note else (Said.NOTHING, "")))
        self._sent = None
        self._answered()

    def refuse(self, why: str) -> None:
        """Answer `Entered`: it was not stored; the text comes back with the reason beneath it."""
        if self._sent and self._sent[0]:
            self._typed.put(self._sent[0], old=self._sent[1])
        self._sent = None
        self._only.forget()
        self._refused(why)

    def _refused(self, why: str) -> None:
        self._kept.refused_at(self._prompt.key if self._prompt and self.draft else "")
        self._typed.action_end()
        self._typed.mark(refused=True)
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

    def step_back(self) -> bool:
        """Put a whole line back, or empty the line, or drop what waits; return whether there was anything."""
        if self._only.back():
            self._look()
            return True
        return self._cleared()

    def clear_line(self) -> None:
        """Empty the line, or where it is empty drop what waits."""
        self._cleared()

    def _cleared(self) -> bool:
        """Empty the line, or where it is empty drop what waits, and say what is gone; return whether anything is."""
        text, dropped = self._only.whole or self.draft, self._kept.lines
        if text:
            self._only.forget()
            self._kept.emptied()
            self._typed.put("")
            self._of = ""
        elif dropped:
            self._kept.put(())
            text = " · ".join(dropped)
        if text:
            self._say(Said.CLEARED, text)
        return bool(text)

    def _next(self) -> None:
        """Put the next line that was kept where it can be seen and entered."""
        if not self._typed.value:
            self._typed.put(self._kept.next())

    def on_mount(self) -> None:
        """Draw what was asked for before there was a screen."""
        self.call_after_refresh(self._draw)

    def shown_empty(self) -> str:
        """Return what Enter takes, or how to type it."""
        return "" if self._prompt is None else safe(shown_when_empty(self._prompt), ascii_only(self))

    def texts(self) -> Texts:
        """Return instruction, hint, and what is said beneath the line."""
        plain = ascii_only(self)
        prompt = self._prompt
        waits = self._kept.told(prompt, empty=not self.draft)
        note = " · ".join(filter(None, (": ".join(self._said) if self._said[0] else "", waits)))
        ask, hint = (prompt.ask, prompt.hint) if prompt else ("", "")
        return safe(ask, plain), safe(hint, plain), safe(note, plain)

    def _draw(self) -> None:
        """Draw all texts, and tell the parent where they now need more or fewer rows."""
        if not self.is_attached:
            return
        prompt = self._prompt
        self._tell_keys()
        if prompt is not None:
            self.button.set_class(prompt.proposal is None and not self.draft, "-idle")
        self.dress_note(self._said[0])
        if not self.fill_rows():
            self.post_message(self.Resized(self))

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
        kind, told = said_of(self._meant(prompt), proposed=not text.strip())
        counts = kind not in (Said.PROPOSED, Said.ASKS)
        self._say(kind, f"{self._of if counts else ''}{told}")

    def _meant(self, prompt: Prompt) -> Meant:
        return meant(prompt, self._typed.value, self._typed.old, wet_is_a_leak=self.wet_is_a_leak)

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
        if self.waiting:
            return
        if prompt is None:
            self._refused("nothing is asked here now")
        elif not text and self._kept.for_here(prompt):  # Enter must not answer over lines that are next
            self._typed.put(self._kept.take())
            self._say_before()
        elif not text and prompt.proposal is None:
            self._refused("nothing was typed")
        elif (not text and not self._seen.by(came_s)) or self._only.missed(text, came_s):
            self._refused("this question was not on the screen when Enter came: read it, then press Enter")
        else:
            self._enter_what_is_meant(prompt, self._meant(prompt))

    def _enter_what_is_meant(self, prompt: Prompt, meant: Meant) -> None:
        taken = meant.taken
        if taken.called is not None:
            self.waiting, self._sent = True, (meant.text, self._typed.old)
            self._typed.put(taken.called.before, old=self._typed.old)
            called = taken.called
            self.post_message(self.WentWrong(self, called.word, called.where, called.seen))
        elif taken.why_not:
            self._refused(taken.why_not)
        elif meant.asks:
            self._only.ask(meant)
            self._say(Said.ONLY, asked_of(meant))
        else:
            self.waiting, self._sent = True, (meant.text, self._typed.old)
            self._typed.put("")
            self.post_message(self.Entered(self, prompt, meant.text or prompt.proposal or "", taken.understood))

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
