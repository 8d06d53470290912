"""The keys at the foot of a screen."""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar

from rich.cells import cell_len
from rich.segment import Segment
from textual import events
from textual.binding import Binding
from textual.strip import Strip
from textual.widget import Widget

if TYPE_CHECKING:
    from textual.screen import Screen

Shown = tuple[tuple[str, str, str], ...]
"""Name of each key, how it is shown, and what it does behind a space."""
GAP = " "
"""What stands between two keys."""
GIVES_WAY = ("ctrl+b", "f6")
"""Keys that go first where there is no room, bell and theme; then the one furthest to the right, but for the last.

Our choice: who cannot see them loses least; F1 names all, and no key is cut inside its word."""


def fitting(keys: Shown, width: int) -> Shown:
    """Return the keys that have room side by side, none of them cut.

    >>> keys = (("escape", "Esc", " Back"), ("f6", "F6", " Theme"), ("f12", "F12", " Report"), ("q", "Q", " Quit"))
    >>> [[shown for _, shown, _ in fitting(keys, width)] for width in (35, 34, 16, 5)]
    [['Esc', 'F6', 'F12', 'Q'], ['Esc', 'F12', 'Q'], ['Esc', 'Q'], []]
    """
    left = list(keys)
    while left and _width(left) > width:
        first = next((key for name in GIVES_WAY for key in left if key[0] == name), None)
        left.remove(first or left[-2 if len(left) > 1 else -1])
    return tuple(left)


def _width(keys: Sequence[tuple[str, str, str]]) -> int:
    return sum(cell_len(display + words) + len(GAP) for _, display, words in keys) - len(GAP)


class Keys(Widget, can_focus=False):
    """One line that names the keys; a click presses one, the wheel brings those into view that have no room.

    No key is cut inside its word.

    One widget draws them all: Textual's own footer is a widget for each key, and to make a dozen of them for each
    screen took longer than all else that stands on it.

    Parameters
    ----------
    words
        Returns what an action does now where it is not what its key says at other times; empty: not shown now.
    """

    DEFAULT_CSS = """
    Keys {
        dock: bottom;
        height: 1;
        color: $footer-foreground;
        background: $footer-background;
        & > .keys--key { color: $footer-key-foreground; text-style: bold; }
        & > .keys--does { color: $footer-description-foreground; }
        & > .keys--under { color: $footer-key-foreground; background: $block-hover-background; }
    }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {"keys--key", "keys--does", "keys--under"}
    ALLOW_SELECT = False

    def __init__(self, words: Callable[[], Mapping[str, str]] = dict) -> None:
        super().__init__()
        self._words = words
        self._shown: Shown = ()
        self._skip = 0
        self._under: str | None = None
        self._asked = False

    def on_mount(self) -> None:
        """Look again whenever Textual tells that other keys may work now."""
        self.screen.bindings_updated_signal.subscribe(self, self._changed)

    def on_unmount(self) -> None:
        """Look no more."""
        self.screen.bindings_updated_signal.unsubscribe(self)

    def _changed(self, screen: "Screen[object]") -> None:
        """Look once, however often it is told: several times for each screen that comes up, and with each focus."""
        if self.is_attached and screen is self.screen and not self._asked:
            self._asked = True
            self.call_after_refresh(self._look)

    def _look(self) -> None:
        self._asked = False
        if not self.is_attached:
            return
        once: dict[str, Binding] = {}
        for active in self.screen.active_bindings.values():
            if active.binding.show:
                once.setdefault(active.binding.action, active.binding)
        words = self._words()
        named = ((one, words.get(one.action, one.description)) for one in once.values())
        keys = [(one.key, self.app.get_key_display(one), f" {does}") for one, does in named if does]
        then = [*(does for _, _, does in keys[1:]), ""]
        # two keys side by side that do the same share its word
        now = tuple(
            (key, shown, "" if does == after else does) for (key, shown, does), after in zip(keys, then, strict=True)
        )
        if now != self._shown:
            self._shown, self._skip, self._under = now, 0, None
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """Draw the keys side by side that have room."""
        plain = self.rich_style
        key, does, under = (self.get_component_rich_style(f"keys--{part}") for part in ("key", "does", "under"))
        segments = []
        for name, display, words in self._in_view():
            hit = name == self._under
            segments += [Segment(display, under if hit else key), Segment(words, under if hit else does)]
            segments.append(Segment(GAP, plain))
        return Strip(segments).crop_extend(0, self.size.width, plain)

    def _in_view(self) -> Shown:
        """Return the keys that are drawn: behind those that the wheel has passed, as many as there is room for."""
        keys = self._shown[self._skip :]
        return fitting(keys, self.size.width) if not self._skip else _first(keys, self.size.width)

    def _at(self, x: int) -> str | None:
        """Return the name of the key that stands in a column of the line; None between them."""
        start = 0
        for name, display, words in self._in_view():
            end = start + cell_len(display + words)
            if start <= x < end:
                return name
            start = end + len(GAP)
        return None

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Press the key that was clicked."""
        name = self._at(event.x)
        if name is not None:
            self.app.simulate_key(name)

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Mark the key under the pointer."""
        self._mark(self._at(event.x))

    def on_leave(self) -> None:
        """Mark none."""
        self._mark(None)

    def _mark(self, name: str | None) -> None:
        if name != self._under:
            self._under = name
            self.styles.pointer = "default" if name is None else "pointer"
            self.refresh()

    def on_mouse_scroll_down(self) -> None:
        """Bring keys into view that stand further to the right."""
        if _width(self._shown[self._skip :]) > self.size.width:
            self._scroll(1)

    def on_mouse_scroll_up(self) -> None:
        """Go back to the left."""
        self._scroll(-1)

    def _scroll(self, by: int) -> None:
        self._skip = max(0, self._skip + by)
        self.refresh()


def _first(keys: Shown, width: int) -> Shown:
    """Return the keys from the left that have room."""
    while keys and _width(keys) > width:
        keys = keys[:-1]
    return keys
