"""Every key does what it would do if it were typed slowly: it waits until the keys before it have had their effect.

Textual hands keys to the widget in focus and looks at bindings only when they come back from there: Enter, Escape and
the arrows would run after letters that were typed behind them, and a letter could reach a screen that is just being
left. Here keys pass one by one, at one place; behind an Enter they wait for its answer, and for the next screen. Keys
behind a line that is refused are kept as lines of their own and never added to another.
"""

from collections import deque
from collections.abc import Sequence

from textual import events, on
from textual.app import App

from commission.ui.screens.base import BenchScreen
from commission.ui.screens.over import Over
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.typed_line import TypedLine

BURST_S = 0.03
"""Keys that follow each other faster than this were sent at once, by a paste or a program [s]: a person who corrects a
refused line has read it first. Our choice: keys of one write are below 0.01 s apart, a quick typist's above 0.05 s."""

MOST_LINES = 200
"""Lines of one paste; our choice: more than a day of readings, less than a document pasted by mistake."""

ENTER = ("enter", "ctrl+j")
"""Carriage return and line feed: pasted or sent lines may end with either."""


class KeysInOrder(App[None], inherit_bindings=False):
    """An app in which keys have their effect in the order in which they were typed."""

    def __init__(self) -> None:
        super().__init__()
        self._held: deque[events.Key | events.Paste] = deque()
        self.last_key_s = 0.0
        """When the last key came, by the clock of the keys [s]."""
        self._entered_in: DoNowLine | None = None

    async def on_event(self, event: events.Event) -> None:
        """Take keys and pastes one by one; leave everything else to Textual."""
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            self._held.append(event)
            await self.go_on()
        else:
            await super().on_event(event)

    @on(DoNowLine.Answered)
    @on(BenchScreen.Ready)
    async def go_on(self) -> None:
        """Let through what was held back, as far as nothing has to be waited for."""
        while self._held and not self._busy() and (not self.opening or _types(self._held[0])):
            await self._take(self._held.popleft())

    @property
    def opening(self) -> bool:
        """Whether nothing but text can be typed yet: what does more waits, and all that was typed behind it."""
        return False

    def _busy(self) -> bool:
        """Whether the next key has to wait: for an answer, or for a screen that is coming up."""
        if not self.screen_stack or (isinstance(self.screen, BenchScreen) and not self.screen.ready):
            return True
        line = self._line()
        return line is not None and line.waiting

    def _line(self) -> DoNowLine | None:
        """Return the line that has the keys: the one of the screen, whatever was clicked; None where there is none."""
        if isinstance(self.screen, BenchScreen):
            return self.screen.typed
        at = self.focused
        if not isinstance(at, TypedLine):
            return None
        return next((one for one in at.ancestors if isinstance(one, DoNowLine)), None)

    async def _take(self, event: events.Key | events.Paste) -> None:
        before_s, self.last_key_s = self.last_key_s, event.time
        if self._kept(event, before_s):
            return
        if isinstance(self.screen, Over) and self.screen.hands_on(text := _text_of(event) or ""):
            await self._beneath(self.screen, event, text)
        elif (line := self._line()) is None:
            await super().on_event(event)
        elif isinstance(event, events.Paste):
            self._paste(event, line)
        elif not await self._check_bindings(event.key, priority=True):
            await self._key(event, line)

    def _paste(self, event: events.Paste, line: DoNowLine) -> None:
        """Take a pasted line, or let several follow each other as if each were typed and entered.

        Where lines wait from before, what is pasted waits behind them.
        """
        lines = [one for one in event.text.splitlines() if one.strip()]
        if not isinstance(event, PastedLine) and line.paste_behind(lines):
            return
        if isinstance(event, PastedLine) or len(lines) < 2:
            line.paste(event.text, of=event.of if isinstance(event, PastedLine) else "")
        elif len(lines) > MOST_LINES:
            line.leave_out(f"{len(lines)} lines were pasted, {MOST_LINES} are the most: none was taken")
        else:
            self._held.extendleft(reversed(_typed_out(lines, event)))

    async def _key(self, event: events.Key, line: DoNowLine) -> None:
        """Let a key do in the line what it does; where the line cannot be seen, text is taken and nothing is done."""
        unseen = isinstance(self.screen, BenchScreen) and not self.screen.in_sight
        if event.key in ENTER and unseen:
            line.set_aside()
        elif event.key in ENTER:
            self._entered_in = line
            line.enter(event.time)
        elif event.is_printable and event.character is not None:
            line.type_in(event.character)
        elif not unseen:
            await self._check_bindings(event.key)
        elif event.key == "backspace":
            line.input.action_delete_left()

    async def _beneath(self, over: Over, event: events.Key | events.Paste, text: str) -> None:
        """Hand text on that was typed while something lay over the line."""
        if over.GIVES_WAY:
            await self.pop_screen()
            self._held.appendleft(event)
            return
        beneath = next(one for one in reversed(self.screen_stack) if isinstance(one, BenchScreen))
        beneath.typed.keep(text)

    def _kept(self, event: events.Key | events.Paste, before_s: float) -> bool:
        """Keep a text that was sent behind a line that has been refused since; return whether it was one."""
        line = self._entered_in
        if line is None or line.refused_at is None:
            return False
        text = _text_of(event)
        if text is None or not (event.time <= line.refused_at or event.time - before_s < BURST_S):
            line.refused_at = None
            return False
        line.keep(text) if text else line.keep_less()
        return True


class PastedLine(events.Paste):
    """One of several lines that were pasted together."""

    def __init__(self, text: str, of: str) -> None:
        super().__init__(text)
        self.of = of
        """Which one it is, to be said before its answer."""


def _typed_out(lines: Sequence[str], paste: events.Paste) -> list[events.Key | events.Paste]:
    """Return several pasted lines as if each were typed and entered; the last only where a line end stands behind it.

    A single line is never entered by itself: it stands there to be read.
    """
    parts: list[events.Key | events.Paste] = []
    for number, line in enumerate(lines, 1):
        parts += [PastedLine(line, f"line {number} of {len(lines)}: "), events.Key("enter", "\r")]
    for part in parts:
        part.time = paste.time
    return parts if paste.text[-1] in "\r\n" else parts[:-1]


def _types(event: events.Key | events.Paste) -> bool:
    """Return whether an event does no more than to change the text of the line, or to leave the program."""
    if isinstance(event, events.Paste):
        return True
    return event.is_printable or event.key in ("backspace", "ctrl+q")


def _text_of(event: events.Key | events.Paste) -> str | None:
    """Return the text that an event types, an empty one for taking back a character; None where it is no text."""
    if isinstance(event, events.Paste):
        return event.text
    if event.key in ENTER:
        return "\n"
    if event.key == "backspace":
        return ""
    return event.character if event.is_printable else None
